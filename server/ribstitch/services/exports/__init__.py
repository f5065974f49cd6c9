"""Tables for the bookkeeper, as comma-separated values."""

from ribstitch.services.exports.tables import EXPORTS, Export

__all__ = ["EXPORTS", "Export"]
