# Un dossier à côté des travaux : pauses, la même maison deux fois, nouvelles règles, vie de la demande.

job-paused = En pause depuis le { $date }, par { $who } : { $reason }
job-cancelled = Annulé le { $date } par { $who } : { $reason }
job-handed-over = Passé à une autre équipe le { $date } par { $who } : { $reason }
job-left-safe = Maison laissée sûre : { $names }.
house-same-address = Un autre dossier a la même adresse : { $label } ({ $number }). Si c’est la même maison, reliez les deux et dites pourquoi ; un programme paie une fois par ménage.
house-same-serial = Un autre dossier a le même numéro de série { $serial } : { $label } ({ $number }). Regardez les deux plaques ; reliez les deux si c’est une seule maison.
house-linked = Relié à un autre dossier de cette maison : { $label } ({ $number }).

screen-visits = Visites
screen-rules = Règles du programme
rules-pinned = Ce dossier suit { $name }, { $edition }.
rules-newest = La bibliothèque n’en a pas de plus récentes.
rules-editions = Ce dossier suit : { $was }. Plus récentes dans la bibliothèque : { $now }.
rules-same = Rien de ce qui est demandé ne change.
rules-effect = Ce que cela change pour ce dossier
rules-no-effect = Il ne manque ni plus ni moins qu’avant.
rule-key-name = Nom
rule-key-edition = Édition
rule-key-grant = Aide
rule-key-currency = Monnaie
rule-key-keep-years = Années de conservation
rule-was-is = { $was } → { $now }
rule-days = { $was } jours → { $now } jours
rule-added = Nouveau.
rule-removed = N’est plus demandé.
rule-changed = Demande autre chose qu’avant.
rule-no-longer-missing = Ne manque plus.
action-accept-rules = Accepter les nouvelles règles

screen-claim-life = La demande de paiement
moved-sent = Envoyée, version { $version }
moved-received = Reçue, version { $version }
moved-queried = Questionnée, version { $version }
moved-answered = Répondue, version { $version }
moved-short-paid = Payée en partie, version { $version }
moved-refused = Refusée, version { $version }
moved-paid = Payée, version { $version }
life-pack = dossier { $pack }
life-next-none = Pas encore envoyée. Faites le dossier, envoyez-le et notez le jour.
life-next-waiting = Chez le programme. Rien à faire avant sa réponse.
life-next-queried = Répondez à la question : { $text }
life-next-answered = Répondue. Renvoyez la demande si le programme le veut ainsi ; sinon, attendez.
life-next-refused = Refusée : { $text } Corrigez et renvoyez, ou fermez le dossier.
life-next-short = Reste à recevoir : { $amount }. Réclamez-le, ou notez pourquoi non.
life-next-paid = Payée en entier. Gardez les documents aussi longtemps que le programme le dit.

visit-recorded = Noté.
visit-filled = Rempli avec ce que l’on sait déjà : { $names }.
visit-not-left-safe = Avant de partir, non dit comme fait : { $names }.

why-calibration = { $name } a été étalonné il y a trop longtemps : bon jusqu’au { $until }, utilisé le { $date }.
lapse-ends = Prend fin avec le document renouvelé.
