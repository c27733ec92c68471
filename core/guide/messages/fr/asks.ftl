# asks
