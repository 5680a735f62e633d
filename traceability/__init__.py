"""What the record answers: where a lot came from, where it went, and whether every part of it is accounted for."""
