"""One module a page; each exposes a ``router`` and `stillroom.web.app` picks them all up."""
