"""Advice at the truck and the words on the delivery receipt."""
