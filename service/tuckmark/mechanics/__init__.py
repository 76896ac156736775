"""Pure functions of splice geometry and load transfer: millimetres and radians in and out."""
