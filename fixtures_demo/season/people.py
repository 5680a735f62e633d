"""The people of the brewery and what they do there."""

PEOPLE = (
    ("hallam", "Edda Hallam", "receiving"),
    ("osei", "Kwame Osei", "receiving"),
    ("tarn", "Ingrid Tarn", "brewing"),
    ("bellweather", "Joss Bellweather", "brewing"),
    ("moreau", "Luc Moreau", "brewing"),
    ("adeyemi", "Folake Adeyemi", "quality"),
    ("winter", "Silas Winter", "quality"),
    ("rahimi", "Nasrin Rahimi", "accounting"),
    ("quill", "Martha Quill", "administration"),
    ("penhale", "Owen Penhale", "auditor"),
)


def on_shift(role: str, week: int) -> str:
    """Who of the role works in that week; they take turns."""
    staff = [person for person, _, does in PEOPLE if does == role]
    return staff[week % len(staff)]
