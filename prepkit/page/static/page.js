// live units and copying; the page works without it
