"""Prove a link: record, compute, keep what was found, and write it into the chain file."""
