"""What may be decided on a line that is not right, and when."""

DECISIONS = {
    "adjustment": "Adjustment: measure again",
    "damage": "Damage: record a finding",
    "ask": "Ask the manager",
}
"""The three ends of "not right"; "ask" leaves it undecided."""


def why_not_decide(
    *, decision: str, is_right: bool, has_reading: bool, photos: int, last: str
) -> str:
    """Return why this cannot be decided on a line as it was read, or "".

    ``last`` is the decision before, or "". Before a wrench is used the line is read and
    photographed. What was adjusted may prove to be damage later, also once it reads
    right; what was recorded as damage stays a finding.
    """
    proved_damage = decision == "damage" and last == "adjustment"
    if is_right and not proved_damage:
        return "This line is right. There is nothing to decide. Nothing was changed."
    if last == "damage":
        return (
            "This line is recorded as damage already. Nothing was changed. Change the "
            "cause on the finding's page."
        )
    if decision == "adjustment" and not (has_reading and photos):
        missing = "reading" if photos else "photo"
        return (
            f"Save the {missing} as found first: after a wrench nobody can show how it "
            "was. Nothing was saved."
        )
    return ""
