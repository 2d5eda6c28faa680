"""What can go wrong with a backup, as a sentence."""


class BackupError(Exception):
    """A sentence for whoever asked for the backup."""
