"""The page around the terminal: everything on it comes from this server."""

import html
from string import Template

POLICY = (
    "default-src 'none'; script-src 'self' 'nonce-{nonce}'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
"""What the browser may load and run; the terminal sets its own styles, so those stand inline."""

_PAGE = Template("""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>$title</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/static/xterm.css">
<style>
@font-face { font-family: "Roboto Mono"; src: url("/static/mono.ttf"); }
html, body { height: 100%; margin: 0; background: #0c1016; color: #e8e8e6; }
body { font-family: "Roboto Mono", monospace; }
.textual-terminal { position: absolute; inset: 0; }
#said { position: absolute; inset: 0; z-index: 10; padding: 2rem; background: #0c1016; }
body.-first-byte #said { display: none; }
body.-closed #said { display: block; }
#said .ended, body.-closed #said .opening { display: none; }
body.-closed #said .ended { display: block; }
a { color: #8ecbff; }
</style>
<script nonce="$nonce">history.replaceState(null, "", "/");</script>
<script src="/static/textual.js"></script>
</head>
<body>
<div id="said">
<p class="opening">Opening $title. It needs scripts and a socket to this server.</p>
<p class="ended">The screens are closed, and every tick is stored.
<a href="/">Open them again</a></p>
</div>
<div id="terminal" class="textual-terminal" data-session-websocket-url="$socket"
 data-font-size="16"></div>
</body>
</html>
""")


def page_text(title: str, socket: str, nonce: str) -> str:
    """The page; ``title`` is other people's text."""
    return _PAGE.substitute(
        title=html.escape(title), socket=html.escape(socket), nonce=html.escape(nonce)
    )
