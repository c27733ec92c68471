# pictures
