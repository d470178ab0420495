"""The parts of screens, one file each."""
