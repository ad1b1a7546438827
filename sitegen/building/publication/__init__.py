"""A site put in its place: whole or not at all, with everything of somebody else's left where it is.

``hold_output`` refuses what cannot be a site's place, waits for other builds into it and mends what a killed one left;
what it yields publishes files by path. Nothing here knows what a page is.
"""

from sitegen.building.publication.manifest import MANIFEST, Listed, SiteManifest, read_manifest
from sitegen.building.publication.output import Output, Published, hold_output
from sitegen.building.publication.staging import Contents, Reader
from sitegen.building.publication.trees import Stamp

__all__ = [
    "MANIFEST",
    "Contents",
    "Listed",
    "Output",
    "Published",
    "Reader",
    "SiteManifest",
    "Stamp",
    "hold_output",
    "read_manifest",
]
