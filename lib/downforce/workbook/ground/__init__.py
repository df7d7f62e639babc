"""Rough ground: the pass over rough ground."""
