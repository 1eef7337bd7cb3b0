"""Lines of the log for programs: JSON, one line each."""

import json
import logging
import os
import socket
from datetime import UTC, datetime


class JsonLines(logging.Formatter):
    """Writes a record as one line of JSON, with the machine and the process that tell it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line. What a record tells beside its message stands in `told`."""
        line = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            "host": socket.gethostname(),
            "process": os.getpid(),
            **getattr(record, "told", {}),
        }
        if record.exc_info:
            line["fault"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False, default=str)
