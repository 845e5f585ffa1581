// Keeps the page true. All words and figures come from the service as markup that is escaped there;
// this script puts them in place, and says so when nothing comes any more.
"use strict";

(() => {
  const SILENT_MS = 10_000; // the service speaks at least every 2.5 s
  const FIRST_WAIT_MS = 500;
  const LONGEST_WAIT_MS = 2500; // and half as much again by chance: the page is live 5 s after the service at the latest
  const LOGGED_OUT = 4401;

  const main = document.querySelector("main");
  const byId = (id) => document.getElementById(id);
  const pending = new Map(); // parts that came while they could not be replaced
  const site = document.title;
  let heard = main.dataset.heard;
  let held = false;
  let lostAt = null;
  let wait = FIRST_WAIT_MS;
  let silence = 0;

  const filled = (name, words) => main.dataset[name].replace(/\{\w+\}/, words);

  // ---- saying: only the state, the link and new alarms speak

  const waiting = () =>
    new Map([...document.querySelectorAll("[data-alarm]")].map((item) => [item.dataset.alarm, item]));
  const state = () => byId(main.classList.contains("old") ? "gone" : "band").querySelector(".word")?.textContent ?? "";
  let saidState = state();
  let saidAlarms = new Set(waiting().keys());

  const say = (words) => {
    byId("say").textContent = words;
  };

  const sayNews = () => {
    const news = [];
    if (state() !== saidState) news.push(state());
    for (const [key, item] of waiting()) {
      if (!saidAlarms.has(key)) news.push(item.querySelector("h3").textContent);
    }
    saidState = state();
    saidAlarms = new Set(waiting().keys());
    if (news.length) say(news.join(". "));
    document.title = `${saidState} · ${site}`;
  };

  // ---- putting parts in place

  const isHeld = (part) => held && (part.id === "trend" || part.id.startsWith("figure-"));

  // a part that is drawn anew keeps the focus: on the same control, else on the one now in its place
  const controls = (part) => [...part.querySelectorAll("a, button, [tabindex]")];
  const keyOf = (control) => control.dataset.key ?? control.getAttribute("href") ?? control.getAttribute("aria-label");

  const place = (part, markup) => {
    const at = controls(part).indexOf(document.activeElement);
    const key = at < 0 ? null : keyOf(document.activeElement);
    part.innerHTML = markup;
    if (at < 0) return;
    const now = controls(part);
    const same = now.find((control) => keyOf(control) === key);
    (same ?? now[Math.min(at, now.length - 1)] ?? document.querySelector("h2[tabindex]"))?.focus();
  };

  const placeAll = () => {
    for (const [id, markup] of pending) {
      const part = byId(id);
      if (isHeld(part) || part.matches(":active")) continue; // a finger is on it: next time
      place(part, markup);
      pending.delete(id);
    }
  };

  const show = ({ old, heard: newest, parts }) => {
    for (const [id, markup] of Object.entries(parts)) pending.set(id, markup);
    main.classList.toggle("old", old);
    heard = newest;
    placeAll();
    sayNews();
  };

  // ---- the link

  const duration = (ms) => {
    const seconds = Math.floor(ms / 1000);
    if (seconds < 60) return `${seconds} s`;
    const minutes = Math.floor(seconds / 60);
    if (minutes < 60) return `${minutes} min`;
    return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
  };

  const showLost = () => {
    const gone = byId("gone");
    gone.querySelector(".how-long").textContent = duration(performance.now() - lostAt);
    gone.querySelector(".why").textContent = heard ? filled("lost", heard) : main.dataset.lostUnheard;
    byId("link").textContent = main.dataset.trying;
  };

  const lose = () => {
    clearTimeout(silence);
    if (lostAt === null) {
      lostAt = performance.now();
      main.classList.add("old");
      showLost();
      sayNews();
    }
  };

  const found = () => {
    lostAt = null;
    wait = FIRST_WAIT_MS;
  };

  const reloadOnce = (build) => {
    if (build === main.dataset.build || sessionStorage.getItem("build") === build) return;
    sessionStorage.setItem("build", build);
    location.reload();
  };

  const connect = () => {
    const socket = new WebSocket(new URL(main.dataset.socket, location.href.replace(/^http/, "ws")));
    let over = false;
    const end = () => {
      if (over) return;
      over = true;
      socket.close();
      lose();
      setTimeout(connect, wait * (0.5 + Math.random()));
      wait = Math.min(LONGEST_WAIT_MS, wait * 2);
    };
    const listen = () => {
      clearTimeout(silence);
      silence = setTimeout(end, SILENT_MS);
    };
    listen();
    socket.onclose = ({ code }) => (code === LOGGED_OUT ? location.reload() : end());
    socket.onmessage = (event) => {
      if (over) return;
      listen();
      const [kind, message] = JSON.parse(event.data);
      if (kind === "snap") {
        reloadOnce(message.build);
        found();
      }
      show(message);
    };
  };

  setInterval(() => {
    if (lostAt !== null) showLost();
  }, 1000);

  // ---- what people can do

  document.addEventListener("submit", (event) => {
    if (lostAt === null) return;
    event.preventDefault();
    say(main.dataset.notSent);
    byId("link").textContent = main.dataset.notSent;
  });

  byId("read-out")?.addEventListener("click", () => {
    const words = [...document.querySelectorAll(".figures .card")].map((card) => card.innerText.replace(/\s+/g, " "));
    const figures = words.join(". ");
    say(main.classList.contains("old") ? filled("oldFigures", figures) : figures);
  });

  byId("hold")?.addEventListener("click", (event) => {
    held = !held;
    main.classList.toggle("held", held);
    event.target.setAttribute("aria-pressed", String(held));
    event.target.textContent = held ? filled("held", heard) : main.dataset.hold;
    placeAll();
  });

  for (const tool of document.querySelectorAll("#read-out, #hold")) tool.hidden = false;
  connect();
})();
