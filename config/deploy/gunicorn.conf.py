"""How gunicorn serves the app: few processes, a few threads each."""

import os

wsgi_app = "config.wsgi:application"
bind = os.environ.get("BIND") or f"127.0.0.1:{os.environ.get('PORT') or '8000'}"

worker_class = "gthread"
workers = int(os.environ.get("WEB_WORKERS") or "2")
threads = int(os.environ.get("WEB_THREADS") or "4")

# Above the database's 20 s wait for its writer: who waits gets an answer, not a cut.
timeout = 60
graceful_timeout = 30
keepalive = 5

# Headers only; the app bounds bodies itself.
limit_request_line = 4094
limit_request_fields = 60

errorlog = "-"
loglevel = os.environ.get("LOG_LEVEL") or "warning"
accesslog = None
