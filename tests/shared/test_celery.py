"""Tasks asked for in any thread of any process go to our own Celery application."""

import threading

from warranties import tasks


def test_a_thread_of_the_web_server_asks_our_broker() -> None:
    names: list[str | None] = []

    thread = threading.Thread(target=lambda: names.append(tasks.send_notice.app.main))
    thread.start()
    thread.join()

    assert names == ["ringkeep"]
