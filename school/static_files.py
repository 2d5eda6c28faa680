"""How static files are named when they are served: by what is in them, the imports of ES modules included.

Without the imports a browser could mix a module of before an upgrade with one of after it.
"""

from whitenoise.storage import CompressedManifestStaticFilesStorage

_OURS = ("school", "curriculum", "lessons")


class HashedFiles(CompressedManifestStaticFilesStorage):
    # Only in our own modules: a library's optional extensions import what it does not ship.
    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        *(
            (f"{app}/*.js", CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1])
            for app in _OURS
        ),
    )
