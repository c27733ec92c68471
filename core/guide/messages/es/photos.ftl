# Qué pasa con una foto, en pocas palabras: las razones de su calidad.

photo-reason-few_pixels = pocos píxeles
photo-reason-soft = un poco borrosa
photo-reason-blurred = borrosa
photo-reason-nothing_to_see = no se ve nada
photo-reason-dark = oscura
photo-reason-too_dark = demasiado oscura
photo-reason-bright = quemada en partes
photo-reason-too_bright = quemada por la luz
photo-reason-cut_short = archivo cortado
photo-reason-turn_unknown = no dice qué lado es arriba
photo-reason-not_looked_at = no revisada en este aparato
photo-reason-metadata_missing = sin hora ni lugar en el archivo
photo-reason-metadata_damaged = hora y lugar dañados en parte
photo-reason-edited = reescrita después de tomarla
photo-reason-screenshot = contenido de una pantalla
photo-reason-off_a_screen = parece foto de una pantalla
photo-reason-time_missing = sin hora en el archivo
photo-reason-offset_missing = sin zona horaria en el archivo
photo-reason-offset_from_fix = zona horaria por satélite
photo-reason-zone_fault = zona horaria de la cámara errónea
photo-reason-time_ahead = su hora es posterior a ahora
photo-reason-time_behind = su hora es de hace tiempo
photo-reason-time_after_arrival = su hora es posterior a su llegada
photo-reason-time_impossible = su hora no es posible
photo-reason-place_missing = lugar desconocido
photo-reason-place_of_phone = solo el lugar del teléfono
photo-reason-place_zero = el lugar es cero, cero
photo-reason-place_rough = lugar aproximado
photo-reason-far_from_site = tomada lejos de la casa
photo-reason-places_apart = el lugar del archivo y el del teléfono no coinciden
photo-reason-fix_stale = el lugar es de antes
photo-reason-tag_missing = etiqueta fuera de la foto
photo-reason-tag_of_another_job = etiqueta de otro trabajo
photo-reason-tag_not_genuine = una etiqueta que no firmó nadie conocido aquí
photo-reason-same_photo = la misma foto que antes
photo-reason-same_photo_in_another_job = la misma foto en otro trabajo
photo-reason-looks_the_same = se parece a otra foto

photo-with-tag = Ponga al lado la etiqueta del trabajo, plana y con luz.

tag-sheet-title = Etiqueta del trabajo
tag-sheet-how = Imprima al 100 %, sin ajustar a la página. Corte por los trazos. La etiqueta va en el encuadre de cada foto de la estufa vieja, plana, con luz, de una décima parte del ancho de la foto o más. Está firmada para este trabajo: en una foto de otro trabajo no cuenta.
tag-sheet-large = Para la estufa entera y el camión
tag-sheet-middle = Para la puerta y el cuerpo
tag-sheet-small = Para detalles: bisagra, placa
tag-sheet-alt = Código cuadrado, la etiqueta de { $job }
