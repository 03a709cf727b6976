"""One file a screen: key presses become calls of use cases, results become widgets."""
