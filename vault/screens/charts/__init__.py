"""Charts over time. They bring pyqtgraph and numpy with them: import them when one is shown."""
