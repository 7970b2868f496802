"""Export: readings in, text or bytes out; no decisions are taken here."""
