# Ce qui est dit d’une photo, en peu de mots : les raisons de sa qualité.

photo-reason-few_pixels = peu de pixels
photo-reason-soft = un peu floue
photo-reason-blurred = floue
photo-reason-nothing_to_see = on ne voit rien
photo-reason-dark = sombre
photo-reason-too_dark = trop sombre
photo-reason-bright = en partie brûlée par la lumière
photo-reason-too_bright = brûlée par la lumière
photo-reason-cut_short = fichier coupé
photo-reason-turn_unknown = le haut n’est pas indiqué
photo-reason-not_looked_at = non examinée sur cet appareil
photo-reason-metadata_missing = ni heure ni lieu dans le fichier
photo-reason-metadata_damaged = heure et lieu en partie abîmés
photo-reason-edited = réécrite après la prise
photo-reason-screenshot = contenu d’un écran
photo-reason-off_a_screen = semble une photo d’écran
photo-reason-time_missing = pas d’heure dans le fichier
photo-reason-offset_missing = pas de fuseau horaire dans le fichier
photo-reason-offset_from_fix = fuseau horaire par satellite
photo-reason-zone_fault = fuseau horaire de l’appareil faux
photo-reason-time_ahead = son heure est après maintenant
photo-reason-time_behind = son heure est ancienne
photo-reason-time_after_arrival = son heure est après son arrivée
photo-reason-time_impossible = son heure est impossible
photo-reason-place_missing = lieu inconnu
photo-reason-place_of_phone = lieu du téléphone seulement
photo-reason-place_zero = lieu zéro, zéro
photo-reason-place_rough = lieu approximatif
photo-reason-far_from_site = prise loin de la maison
photo-reason-places_apart = lieu du fichier et du téléphone éloignés
photo-reason-fix_stale = lieu d’avant
photo-reason-tag_missing = étiquette hors du cadre
photo-reason-tag_of_another_job = étiquette d’un autre chantier
photo-reason-tag_not_genuine = une étiquette que personne de connu ici n’a signée
photo-reason-same_photo = la même photo qu’avant
photo-reason-same_photo_in_another_job = la même photo dans un autre chantier
photo-reason-looks_the_same = ressemble à une autre photo

photo-with-tag = Mettez l’étiquette du chantier à côté, à plat et à la lumière.

tag-sheet-title = Étiquette du chantier
tag-sheet-how = Imprimez à 100 %, sans ajuster à la page. Découpez le long des tirets. L’étiquette est dans le cadre de chaque photo de l’ancien poêle, à plat, à la lumière, large d’un dixième de la photo ou plus. Elle est signée pour ce chantier : sur la photo d’un autre chantier elle ne compte pas.
tag-sheet-large = Pour le poêle entier et le camion
tag-sheet-middle = Pour la porte et le corps
tag-sheet-small = Pour les gros plans : charnière, plaque
tag-sheet-alt = Code carré, l’étiquette de { $job }
