"""The reader of squares for browsers that have none: its files, named here alone.

They come from one release and only work together; a page that uses them allows WebAssembly.
"""

from csp.constants import WASM_UNSAFE_EVAL

DETECTOR = "vendor/barcode-detector-3.2.2/ponyfill.js"
DETECTOR_PARTS = ["vendor/barcode-detector-3.2.2/zxing-exported.js"]  # what the one above imports
WASM = "vendor/zxing-wasm-3.1.3/zxing_reader.wasm"

ALLOWS_WASM = {"script-src": WASM_UNSAFE_EVAL}
