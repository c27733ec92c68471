# claim
