"""One scene, three renderers: terminal text, SVG and PDF to scale."""
