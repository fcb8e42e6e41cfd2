"""Bare Celery: a task that holds the same conversation with the mail server, and nothing else."""

import os
import smtplib
from pathlib import Path

from celery import Celery

app = Celery("bare", broker=os.environ["REDIS_URL"])
app.conf.update(task_ignore_result=True, task_acks_late=True, worker_prefetch_multiplier=1)
PORT = int(os.environ["BARE_PORT"])
MESSAGE = Path(os.environ["BARE_MESSAGE"]).read_bytes()


@app.task(name="speak")
def speak(number: int) -> None:
    with smtplib.SMTP("127.0.0.1", PORT, timeout=20) as server:
        server.ehlo()
        server.mail("office@example.com")
        server.rcpt(f"household{number}@example.com")
        server.data(MESSAGE)


if __name__ == "__main__":
    for each in range(int(os.environ["BARE_MAILS"])):
        speak.apply_async(args=(each,), retry=False)
