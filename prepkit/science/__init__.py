"""Published relations on plain floats: standard library only, one relation each, cited and ranged."""
