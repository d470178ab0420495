"""The parts of the job screen."""
