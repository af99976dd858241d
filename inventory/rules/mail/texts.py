"""What a mail says, and to whom."""

from dataclasses import dataclass
from urllib.parse import quote


@dataclass(frozen=True)
class MailText:
    """A mail as text; ``to`` is one address."""

    to: str
    subject: str
    body: str

    @property
    def address(self) -> str:
        """Return the mail as a link that a mail program opens."""
        return (
            f"mailto:{quote(self.to, safe='@')}"
            f"?subject={quote(self.subject)}&body={quote(self.body)}"
        )
