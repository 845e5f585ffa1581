"""Tumpline: press-line monitor and shift book.

Words used everywhere:
    event     something that happened (past tense): a reading was taken, an entry was made, time passed.
    effect    something the line asks for (imperative): publish this, store that. Never an order to a machine.
    line      one press line: `pressing.line.PressLine` turns events into effects and knows nothing else.
    wire      what the bytes mean, both ways.
    adapter   one outside system.
    runtime   how it runs: clock, journal, loop, dispatch.
"""
