"""How the rig rides on its springs and tires."""
