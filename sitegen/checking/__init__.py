"""What can be at fault in a content folder, and how it is told. Every validation stands in ``validations``."""

from sitegen.checking.nouns import Finding, Severity, findings_of

__all__ = ["Finding", "Severity", "findings_of"]
