"""The crate unfolded: its seven faces, and where each is drawn."""

FACES = {
    "top": ("Top", "lid"),
    "side-1": ("Side 1", "label"),
    "side-2": ("Side 2", "left"),
    "side-3": ("Side 3", "back"),
    "side-4": ("Side 4", "right"),
    "base": ("Base", "skids"),
    "inside": ("Inside", "contents"),
}
"""The faces of a crate with their short names and, facing the label, where each is."""

_NET = {
    "top": (100, 6, 90, 70),
    "side-2": (6, 80, 90, 78),
    "side-1": (100, 80, 90, 78),
    "side-4": (194, 80, 90, 78),
    "side-3": (288, 80, 90, 78),
    "base": (100, 162, 90, 70),
    "inside": (194, 6, 184, 70),
}
"""Where each side is when the crate is unfolded: x, y, width, height."""

_FORK_SIDES = ("side-1", "side-3")


def face_of(value: str) -> dict[str, object]:
    """Return a face's names, and whether it has the label or takes a fork."""
    name, note = FACES[value]
    return {
        "value": value,
        "name": name,
        "note": note,
        "fork": value in _FORK_SIDES,
        "label": value == "side-1",
    }


def board_of(value: str) -> dict[str, object]:
    """Return where the face, its slats and its fork openings are drawn."""
    x, y, width, height = _NET[value]
    return {
        "x": x,
        "y": y,
        "width": width,
        "height": height,
        "right": x + width,
        "foot": y + height,
        "slats": (y + height // 4, y + height // 2, y + height * 3 // 4),
        "fork_y": y + height - 10,
        "fork_left": x + width // 5,
        "fork_right": x + width * 3 // 5,
    }
