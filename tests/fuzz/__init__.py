"""Adversarial input: grammars of what people and files may say, and what must then hold."""
