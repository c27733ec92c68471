# Le PDF du dossier : titres, colonnes, états.

claim-title = Dossier de paiement, programme { $programme }
claim-pages = { "{page}" } / { "{pages}" }
claim-mark = tiré de { $mark }
claim-whole-word = Prêt
claim-whole = Cette demande peut être payée : tout ce que demande le programme { $programme } est ici et compte. Le tableau des preuves dit sur quoi repose chaque ligne.
claim-not-whole-word = Pas encore
claim-not-whole = { $count ->
    [0] Tout ce qui est demandé est là ; ce qui est dit plus haut l’empêche.
    [one] Une chose demandée par le programme manque ou ne compte pas.
   *[other] { $count } choses demandées par le programme manquent ou ne comptent pas.
}
claim-house = Maison
claim-programme = Programme
claim-business = Entreprise
claim-grant = Aide
claim-as-of = En date du
claim-wall = Une assise par étape, de la visite en bas au dossier en haut ; une brique pour chaque chose nécessaire au chantier.
claim-missing = Ce qui reste à régler
claim-deadlines = Délais
claim-due-met = { $due } ; tenu le { $met }
claim-due-open = { $due } ; encore ouvert
claim-evidence = Ce qui est montré, et sur quoi cela repose
claim-evidence-how = Chaque ligne est une chose demandée par le programme. La dernière colonne nomme les fichiers du dossier « originals » par les huit premiers caractères de leur nom, et le nombre d’entrées signées derrière la ligne.
claim-column-wanted = Ce qui est demandé et où cela en est
claim-column-rests = Repose sur
claim-column-where = Où c’est
claim-column-asked = Question
claim-column-answer = Réponse
claim-column-usual = Usuel
claim-column-by = Par
claim-entries = { $count ->
    [one] 1 entrée
   *[other] { $count } entrées
}
claim-earlier = { $count ->
    [one] une entrée antérieure
   *[other] { $count } entrées antérieures
}
shown-met = montré
shown-doubtful = montré, inhabituel
shown-failed = ne compte pas
shown-open = manque
shown-waiting = en attente
shown-not-needed = pas nécessaire
rests-chain = entrées signées d’un même téléphone, dans leur ordre
rests-seen = entrées signées de deux téléphones, la seconde écrite avec la première sous les yeux
rests-arrival = l’horloge du bureau : il avait d’abord la première
rests-clock = l’heure des téléphones eux-mêmes
rests-date = dates des documents
rests-signed = entrées signées
claim-photo-alt = { $what }, enregistrée le { $date }
claim-photo-no-time = sans heure propre
claim-photo-distance = à { $distance } de la maison, relèvement { $bearing } ({ $place })
claim-photo-phone-place = Lieu du téléphone : { $place }
claim-photo-tag = Étiquette du chantier : { $what }
tag-own = lue
tag-other-job = d’un autre chantier
tag-not-genuine = pas authentique
tag-none = pas lue
claim-words-digest = SHA-256 des mots : { $digest }
claim-photo-passed-over = Ne compte pas : { $why }
claim-photo-grade = Qualité : { $grade }
claim-paper-pages = { $count ->
    [one] 1 page
   *[other] { $count } pages
}
claim-figures = Calculs
claim-figures-how = Tirés des réponses ci-dessus. Ce sont un second avis : homologation, manuel et code en vigueur priment.
claim-annex = Annexe : autres calculs
claim-verdict = Selon le calcul
verdict-pass = dans ce qui est demandé
verdict-fail = pas comme demandé
verdict-caution = avec réserve
verdict-cannot_tell = on ne peut pas dire
claim-signatures = Signatures
claim-signature-alt = Signature de { $name }
claim-covers = Couvre { $count } entrées, résumé { $digest }
signed-signed = signé sur l’appareil
signed-declined = a refusé de signer
signed-on-paper = signé sur papier
claim-check = Comment vérifier ce dossier
claim-check-how = Décompressez-le et lancez « sha256sum -c SHA256SUMS » : chaque fichier doit répondre OK. READ-ME-FIRST.txt dit comment vérifier les entrées signées avec des outils courants, ou en une fois avec « wythe check-pack ».
claim-check-whose = Ce dossier a été signé pour { $business }. L’empreinte de sa clé : { $fingerprint }. Comparez-la avec celle que l’entreprise vous a donnée.

sign-sheet-covers = Ce qu’elle couvre
sign-sheet-digest = SHA-256 de ce qu’elle couvre : { $digest }
sign-sheet-lines = Lignes pour le nom, la date et la signature
sign-sheet-name = Nom
sign-sheet-date = Date
sign-sheet-signature = Signature
sign-here = Signer ici
sign-on-paper = Signé sur papier
sign-decline = Refuser de signer
claim-signed-page = La page signée : { $name }
