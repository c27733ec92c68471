# Étapes, visites, tâches, choix, rôles, états et les mots entre eux.

stage-survey = Visite technique
stage-plan = Plan
stage-removal = Enlèvement
stage-chimney_top = Haut de cheminée
stage-lining = Gainage
stage-setting = Pose
stage-gas = Gaz
stage-start_up = Mise en service
stage-walk_through = Remise
stage-destruction = Destruction
stage-claim = Dossier de paiement

visit-survey = Visite technique
visit-desk = Bureau
visit-day_1 = Jour 1
visit-day_2 = Jour 2
visit-inspector = Inspecteur
visit-correction = Correction
visit-recycler = Recycleur
visit-call_back = Rappel
visit-needs = { $count ->
    [0] Plus rien à faire pendant cette visite.
    [one] Reste à faire pendant cette visite : 1.
   *[other] Reste à faire pendant cette visite : { $count }.
}

left-safe-gas_capped = Gaz bouché
left-safe-top_covered = Haut de cheminée couvert
left-safe-thimble_covered = Manchon mural couvert
left-safe-house_has_heat = La maison est chauffée
left-safe-owner_told = Propriétaire prévenu

step-survey-arrival = À l’arrivée
step-survey-people = Personnes
step-survey-house = Maison
step-survey-old_stove = Ancien poêle
step-survey-flue = Conduit
step-survey-hazards = Dangers
step-survey-gas = Gaz
step-survey-rooms = Pièces, pour les pertes de chaleur
step-plan-approval = Accord
step-plan-permit = Permis
step-plan-new_stove = Nouveau poêle
step-plan-vent = Évacuation
step-plan-gas = Alimentation en gaz
step-plan-heat = Chauffage
step-plan-hazards = Dangers
step-plan-quote = Vente
step-plan-delivery = Livraison
step-plan-change = Avenant
step-removal-arrival = À l’arrivée
step-removal-photos = Avant de toucher au tuyau
step-removal-pipe = La sortie
step-removal-sweep = Ramonage et caméra
step-removal-away = Départ
step-chimney_top-going_up = Montée
step-chimney_top-measures = Mesures
step-chimney_top-plate = Platine, essai à sec
step-chimney_top-cap = Chapeau
step-lining-liner = Gaine
step-lining-ends = Extrémités
step-setting-stove = Poêle
step-setting-clearances = Dégagements
step-setting-pipe = Tuyau et restricteur
step-setting-finish = Finition
step-gas-line = Conduite
step-gas-test = Essai de pression
step-gas-inspection = Inspection
step-gas-connect = Raccordement
step-gas-relight = Autres appareils
step-gas-fitter = Monteur gaz
step-start_up-pressures = Pressions
step-start_up-meter = Compteur et injecteur
step-start_up-lighting = Allumages
step-start_up-air = Air de la pièce
step-start_up-done = Terminé
step-walk_through-owner = Avec le propriétaire
step-walk_through-sign = Signatures
step-destruction-before = Avant de couper
step-destruction-acts = Rendu inutilisable
step-destruction-recycler = Chez le recycleur
step-destruction-chain = Où il était entre-temps
step-destruction-certificate = Certificat
step-claim-papers = Documents
step-claim-permit = Clôture du permis
step-claim-business = Documents de l’entreprise
step-claim-after = Ensuite

choice-yes = oui
choice-no = non
choice-natural_gas = gaz naturel
choice-propane = propane
choice-free_standing = indépendant
choice-insert = encastrable
choice-rectangular = rectangulaire
choice-round = rond
choice-exterior = sur un mur extérieur
choice-interior = à l’intérieur de la maison
choice-uncertified = non certifié
choice-certified = certifié
choice-no_plate = pas de plaque
choice-hickory = caryer
choice-black_locust = robinier
choice-white_oak = chêne blanc
choice-red_oak = chêne rouge
choice-beech = hêtre
choice-sugar_maple = érable à sucre
choice-white_ash = frêne blanc
choice-black_cherry = cerisier noir
choice-american_elm = orme d’Amérique
choice-sycamore = platane
choice-silver_maple = érable argenté
choice-yellow_poplar = tulipier
choice-hemlock = pruche
choice-basswood = tilleul d’Amérique
choice-white_pine = pin blanc
choice-cottonwood = peuplier
choice-box_elder = érable négondo
choice-seven_in_wc = 7 po c.e.
choice-two_psi = 2 psi
choice-eleven_in_wc = 11 po c.e.
choice-wall_bare = ossature non isolée
choice-wall_r11 = ossature, R-11
choice-wall_r13 = ossature, R-13
choice-wall_r19 = ossature, R-19
choice-wall_r21 = ossature, R-21
choice-glass_single = vitrage simple
choice-glass_double = double vitrage
choice-glass_code = récent, selon le code
choice-heated_above = pièce chauffée au-dessus
choice-attic_bare = combles non isolés
choice-attic_r19 = combles, R-19
choice-attic_r38 = combles, R-38
choice-vaulted_r30 = plafond rampant, R-30
choice-heated_below = pièce chauffée au-dessous
choice-over_cellar = cave au-dessous
choice-over_crawl_space = vide sanitaire au-dessous
choice-slab_ground = dalle sur le sol
choice-tight = étanche
choice-average = moyen
choice-loose = peu étanche
choice-very_loose = très peu étanche
choice-annulus = une gaine d’évacuation, air autour dans le boisseau
choice-two_liners = deux gaines côte à côte
choice-size_half = 1/2 po
choice-size_three_quarters = 3/4 po
choice-size_one = 1 po
choice-size_one_quarter = 1-1/4 po
choice-size_one_half = 1-1/2 po
choice-size_two = 2 po
choice-schedule_40 = tuyau d’acier, série 40
choice-copper_k_l = cuivre, K ou L
choice-listed_tube = tube ondulé homologué
choice-clear = rien trouvé
choice-contains = en contient
choice-abated = assaini
choice-lead_clear = sans plomb
choice-lead_safe_work = travail sûr avec le plomb
choice-paint_untouched = la peinture n’est pas touchée
choice-level_1 = niveau 1
choice-level_2 = niveau 2
choice-level_3 = niveau 3
choice-three_in = 3 po
choice-four_in = 4 po
choice-faces_down = vers le bas
choice-faces_front = vers l’avant, par le mur
choice-outlet = prise
choice-battery = pile
choice-none_needed = aucune
choice-air = air
choice-nitrogen = azote
choice-carbon_dioxide = dioxyde de carbone
choice-test_dial = compteur à cadran d’essai
choice-index_only = compteur à chiffres seulement
choice-at_house = à la maison
choice-on_truck = sur le camion
choice-locked_shop = à l’atelier fermé
choice-cut_up = découpé
choice-at_recycler = chez le recycleur
choice-door_held = gardée pour inspection
choice-door_recycled = chez le recycleur avec le reste

role-lead = chef d’équipe
role-installer = installateur
role-fitter = monteur gaz agréé
role-sweep = ramoneur
role-office = bureau
role-owner = propriétaire
role-owner_quote = propriétaire
role-owner_change = propriétaire
role-renter = locataire
role-recycler = recycleur
role-inspector = inspecteur
role-programme = programme

group-old_stove = ancien poêle { $number }
group-owner = propriétaire { $number }
group-tile_section = tronçon { $number }
group-reading = lecture { $number }
group-room = pièce { $number }
group-change = avenant { $number }
group-handover = transfert { $number }

event-approval = accord
event-approval_end = fin de l’accord
event-sale = vente
event-purchase = achat
event-delivery = livraison
event-disconnected = moment où le tuyau a été touché
event-plate_photographed = photo de l’ancienne plaque
event-removal = enlèvement
event-installation = installation
event-destruction = destruction
event-ticket = bon de pesée
event-certificate = certificat du recycleur
event-permit_final = clôture du permis
event-invoice = facture
event-claim_sent = envoi du dossier
event-opened = ouverture du chantier

word-note = Note
word-caution = Attention
word-stop = Arrêt

state-there = présent
state-missing = manque
state-disagreeing = avis différents
state-does-not-count = ne compte pas
state-waiting = en attente
state-doubtful = douteux

wall-whole = Tout est là.
wall-stopped = Tout est là, mais un arrêt tient.
wall-missing = { $count ->
    [one] Manque 1 : { $names }
   *[other] Manquent { $count } : { $names }
}
wall-more = et { $count } de plus
wall-note = { $there } sur { $all }

row-from = De : { $who }.
row-waiting = En attente de : { $who }.
row-by = Avant le { $date } inclus.
evidence-count = { $count ->
    [one] 1 ajout
   *[other] { $count } ajouts
}
remark-doubtful = Gardé, mais inhabituel. Mesurez encore si possible.
remark-rests = L’ordre repose sur : { $rests }.
library-missing = Absent de la bibliothèque de l’entreprise : { $what }
screen-missing = Ce qui manque
newer-program = Une partie de ce chantier vient d’un programme plus récent. Mettez celui-ci à jour avant toute signature.

date = { $day ->
    [1] 1er
   *[other] { $day }
} { $month } { $year }
month-1 = janvier
month-2 = février
month-3 = mars
month-4 = avril
month-5 = mai
month-6 = juin
month-7 = juillet
month-8 = août
month-9 = septembre
month-10 = octobre
month-11 = novembre
month-12 = décembre

grade-good = bonne
grade-usable = utilisable
grade-weak = faible
grade-poor = mauvaise

consent-owner = On m’a montré le nouveau poêle : marche et arrêt, robinet d’arrêt du gaz, conduite à tenir en cas de panne de courant, vitre chaude et son écran, odeur des premiers feux, et la carte pour une odeur de gaz. { $business } a enlevé l’ancien poêle au { $house } et le fera détruire selon le programme { $programme }. J’accepte que ces relevés soient remis au programme.
consent-renter = J’habite la maison au { $house }. On m’a montré le nouveau poêle et son robinet d’arrêt du gaz, la vitre chaude et son écran, et la carte pour une odeur de gaz. J’accepte que { $business } remette ces relevés au programme { $programme }.
consent-owner_quote = J’ai lu le devis de { $business } pour la maison au { $house }, où l’aide du programme { $programme } figure sur une ligne, et je l’accepte.
consent-owner_change = { $business } m’a montré ce qui a été trouvé au { $house }, ce qu’il faut faire et ce que cela coûte en plus du devis du programme { $programme }, et je l’accepte.
consent-fitter = Je suis le monteur gaz agréé qui a pris les mesures notées ici pour le poêle au { $house }. Elles sont les miennes, prises avec mes instruments, et { $business } peut les remettre au programme { $programme }.
consent-item-agree = En signant ici, j’accepte de signer sur cet appareil et de recevoir les relevés de ce chantier sous forme de fichiers.
consent-item-paper = Je peux tout avoir sur papier et signer une page imprimée portant les mêmes mots.
consent-item-decline = Je peux refuser de signer.
consent-item-withdraw = Je peux retirer ce consentement à tout moment, sans frais ; ce qui est signé d’ici là reste signé, et la suite m’est remise sur papier.
consent-item-scope = Il ne vaut que pour les relevés de ce chantier.
consent-item-how = Pour le retirer, ou pour dire où me joindre, je préviens { $business }.
consent-item-copy = Dès que je la demande, { $business } me remet une copie sur papier, sans frais.
consent-item-device = Pour lire et garder les relevés, il me faut un téléphone ou un ordinateur qui ouvre les fichiers PDF, et la place de les garder.
consent-item-read = J’ai lu ces mots et le résumé sur cet appareil, et je peux ouvrir un fichier semblable sur le mien.
consent-item-change = S’il me fallait autre chose pour des relevés ultérieurs, { $business } me prévient avant, et je peux alors retirer mon consentement sans frais.
consent-item-kind = La signature est liée à ce qu’on m’a montré, si bien qu’un changement ultérieur se voit ; à elle seule elle ne prouve pas qui l’a tracée.
consent-item-lawyer = Ces mots n’ont pas été revus par un avocat.
screen-not-yet-safe = Pas encore en sûreté au bureau. Entrées : { $entries } ; photos et papiers : { $originals }. Gardez ce téléphone jusque-là.
screen-storage-low = Ce téléphone est presque plein. Libérez de la place avant la prochaine photo ; ce qui est enregistré reste.
action-arrived = Je suis arrivé
action-left = Je pars
