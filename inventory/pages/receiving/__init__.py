"""The pages of receiving: deliveries are written down at the dock, line by line, and booked."""
