"""From a rig and a list to an order: stages that each run once, what was checked, what is bought and set."""
