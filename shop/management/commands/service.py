"""Print what runs the program for good: a systemd unit, a container file, a proxy's settings."""

import getpass
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from shop.launch.requirements import ROOT
from shop.launch.system import PDF_PACKAGES

UNIT = """\
[Unit]
Description=Gramil, the books of a workshop
After=network-online.target postgresql.service
Wants=network-online.target

[Service]
User={user}
WorkingDirectory={root}
Environment=GRAMIL_HTTPS=true GRAMIL_HOSTS={host} GRAMIL_ORIGINS=https://{host}
# Over PostgreSQL instead of the data folder, from a file that only its owner may read:
# EnvironmentFile=/etc/gramil.env
ExecStart={python} {root}/manage.py start --no-browser --port {port} --data {data} --copies {copies}
Restart=on-failure
RestartSec=5
TimeoutStopSec=30
UMask=0077
NoNewPrivileges=true
PrivateTmp=true
ProtectSystem=full
ProtectKernelTunables=true
ProtectControlGroups=true
RestrictSUIDSGID=true

[Install]
WantedBy=multi-user.target
"""

CONTAINER = """\
FROM python:3.13-slim
RUN apt-get update \\
    && apt-get install -y --no-install-recommends {packages} \\
    && rm -rf /var/lib/apt/lists/*
WORKDIR /gramil
COPY . .
RUN python -c "from shop.launch.requirements import requirements as all_of; print(*all_of())" \\
    | xargs pip install --no-cache-dir
RUN useradd --uid 10001 gramil && mkdir /data /copies && chown gramil /data /copies
USER gramil
ENV GRAMIL_HTTPS=true GRAMIL_HOSTS={host} GRAMIL_ORIGINS=https://{host}
VOLUME ["/data", "/copies"]
EXPOSE {port}
CMD ["python", "manage.py", "start", "--no-browser", "--host", "0.0.0.0", "--port", "{port}", \\
     "--data", "/data", "--copies", "/copies"]
"""

PROXY = """\
server {{
    listen 443 ssl;
    server_name {host};
    ssl_certificate     /etc/ssl/{host}.pem;
    ssl_certificate_key /etc/ssl/{host}.key;
    client_max_body_size 30m;
    location / {{
        proxy_pass http://127.0.0.1:{port};
        proxy_set_header Host $host;
        proxy_set_header X-Forwarded-Proto https;
        proxy_set_header X-Forwarded-For $remote_addr;
        proxy_read_timeout 120s;
    }}
}}
"""
TEXTS = {"systemd": UNIT, "container": CONTAINER, "proxy": PROXY}


class Command(BaseCommand):
    help = "Print a systemd unit, a container file, or settings of a reverse proxy (nginx)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("kind", choices=sorted(TEXTS))
        parser.add_argument("--host", default="bench.example", help="the public name")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--user", default=getpass.getuser(), help="who runs it")
        parser.add_argument("--data", type=Path, default=settings.DATA_DIR)
        parser.add_argument("--copies", type=Path, default=settings.COPIES_DIR)

    def handle(self, *args: Any, **options: Any) -> None:
        given = {name: options[name] for name in ("host", "port", "user", "data", "copies")}
        packages = " ".join(PDF_PACKAGES)
        text = TEXTS[options["kind"]]
        self.stdout.write(text.format(root=ROOT, python=sys.executable, packages=packages, **given))
