"""Whole jobs: a rig, a choice, a quote, a build sheet."""
