"""Telling people of alarms where nobody looks at a screen: e-mail, SMS gateways, webhooks and the like."""
