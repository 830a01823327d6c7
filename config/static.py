"""Static files under names that change with their content, the modules they import included.

A page that was opened before then opens again without signal with all its parts: what a script
imports has the very name that the worker of the bay's pages keeps.
"""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedStaticFilesStorage(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
