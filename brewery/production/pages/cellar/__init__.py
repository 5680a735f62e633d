"""The cellar on a tablet with wet hands: the board, each tank, and each piece of work as a form of its own."""
