"""What was made, held against what was planned; and what trial splices say of the rope."""
