"""What would break the service in use: reloads, faults, hostile clients, long runs."""
