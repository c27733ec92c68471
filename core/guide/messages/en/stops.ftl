# stops
