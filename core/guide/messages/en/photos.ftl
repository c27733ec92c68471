# What is so about a photo, in a few words: the reasons of its grade.

photo-reason-few_pixels = few pixels
photo-reason-soft = a little soft
photo-reason-blurred = blurred
photo-reason-nothing_to_see = nothing to be seen
photo-reason-dark = dark
photo-reason-too_dark = too dark
photo-reason-bright = partly burnt out
photo-reason-too_bright = burnt out
photo-reason-cut_short = file breaks off
photo-reason-turn_unknown = which way is up is not said
photo-reason-not_looked_at = not looked at on this device
photo-reason-metadata_missing = no time and place in the file
photo-reason-metadata_damaged = time and place partly damaged
photo-reason-edited = written again after it was taken
photo-reason-screenshot = a screen’s contents
photo-reason-off_a_screen = looks like a photo of a screen
photo-reason-time_missing = no time in the file
photo-reason-offset_missing = no time zone in the file
photo-reason-offset_from_fix = time zone from the satellites
photo-reason-zone_fault = camera’s time zone is off
photo-reason-time_ahead = its time is later than now
photo-reason-time_behind = its time is long ago
photo-reason-time_after_arrival = its time is later than its arrival
photo-reason-time_impossible = its time cannot be
photo-reason-place_missing = no place known
photo-reason-place_of_phone = place of the phone only
photo-reason-place_zero = place is zero, zero
photo-reason-place_rough = place known roughly
photo-reason-far_from_site = taken away from the house
photo-reason-places_apart = place in the file and the phone’s are apart
photo-reason-fix_stale = place is from before
photo-reason-tag_missing = tag not in the frame
photo-reason-tag_of_another_job = another job’s tag
photo-reason-tag_not_genuine = a tag that nobody known here signed
photo-reason-same_photo = the same photo as before
photo-reason-same_photo_in_another_job = the same photo in another job
photo-reason-looks_the_same = looks like another photo

photo-with-tag = Put the job’s tag beside it, flat and in the light.

tag-sheet-title = Job tag
tag-sheet-how = Print at 100 %, not fitted to the page. Cut along the dashes. The tag stands in the frame of every photo of the old stove, flat, in the light, about a tenth of the picture wide or more. It is signed for this job: in a photo of another job it does not count.
tag-sheet-large = For the whole stove and the truck
tag-sheet-middle = For the door and the body
tag-sheet-small = For close-ups: hinge, plate
tag-sheet-alt = Square code, the tag of { $job }
