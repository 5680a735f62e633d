"""What a browser complains of: its console, scripts that break, requests that fail."""

from playwright.sync_api import BrowserContext, ConsoleMessage, Request, Response, WebError

REPEATED = "Failed to load resource"
"""The console says once more, and says less, what the answer itself told."""


class Watch:
    """Collects every complaint of a browser context, but for answers that a test expects."""

    def __init__(self, context: BrowserContext) -> None:
        self.faults: list[str] = []
        self._expected: set[int] = set()
        context.on("console", self._console)
        context.on("weberror", self._broken_script)
        context.on("requestfailed", self._failed)
        context.on("response", self._answered)

    def expect(self, status: int) -> None:
        """Answers with this status are no fault from now on."""
        self._expected.add(status)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning", "assert") and not message.text.startswith(REPEATED):
            self.faults.append(f"console: {message.text}")

    def _broken_script(self, error: WebError) -> None:
        self.faults.append(f"script: {error.error}")

    def _failed(self, request: Request) -> None:
        # What was still on its way when somebody went on to another page is given up, and nobody's fault.
        if request.failure != "net::ERR_ABORTED":
            self.faults.append(f"request: {request.url}: {request.failure}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400 and response.status not in self._expected:
            self.faults.append(f"answer: {response.status} {response.url}")
