"""One season of an invented brewery, played through day by day and written down as its people would."""
