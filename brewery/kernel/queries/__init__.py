"""Questions about the kernel's own rows."""
