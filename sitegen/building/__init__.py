"""Tying the steps together: keys, cache, workers, and a site that is published whole or not at all."""

from sitegen.building.cache import Cache, default_cache_folder
from sitegen.building.checking import Report, check_content
from sitegen.building.contract import analysis_object
from sitegen.building.site import Outcome, build_site

__all__ = ["Cache", "Outcome", "Report", "analysis_object", "build_site", "check_content", "default_cache_folder"]
