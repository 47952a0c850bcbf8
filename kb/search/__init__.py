"""What fits a role, the cheapest plan, and why none exists: each rule over only the few roles that it reads."""
