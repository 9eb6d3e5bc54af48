"""Published relations on plain floats: standard library only, one each, cited and ranged."""
