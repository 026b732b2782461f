"""The engine cycle in motion: pipes as one-dimensional gas, volumes, cylinders, a cycle that repeats."""
