# A job beside its work: paused, the same house twice, newer rules, and the life of its claim.

job-paused = Paused on { $date } by { $who }: { $reason }
job-cancelled = Cancelled on { $date } by { $who }: { $reason }
job-handed-over = Handed over on { $date } by { $who }: { $reason }
job-left-safe = Left safe: { $names }.
house-same-address = Another job here has the same address: { $label } ({ $number }). If it is the same house, link the two and say why; a programme pays a household once.
house-same-serial = Another job here has the same serial { $serial }: { $label } ({ $number }). Look at both plates; link the two if it is one house.
house-linked = Linked with another job of this house: { $label } ({ $number }).

screen-visits = Visits
screen-rules = Rules of the programme
rules-pinned = This job keeps { $name }, { $edition }.
rules-newest = There are no newer ones in the library.
rules-editions = This job keeps: { $was }. Newer in the library: { $now }.
rules-same = Nothing that is asked for changes.
rules-effect = What that changes for this job
rules-no-effect = Nothing more is missing, and nothing less.
rule-key-name = Name
rule-key-edition = Edition
rule-key-grant = Grant
rule-key-currency = Currency
rule-key-keep-years = Years that records are kept
rule-was-is = { $was } → { $now }
rule-days = { $was } days → { $now } days
rule-added = New.
rule-removed = No longer asked for.
rule-changed = Asks for something else than before.
rule-no-longer-missing = No longer missing.
action-accept-rules = Take the newer rules

screen-claim-life = The claim
moved-sent = Sent, version { $version }
moved-received = Received, version { $version }
moved-queried = Queried, version { $version }
moved-answered = Answered, version { $version }
moved-short-paid = Paid short, version { $version }
moved-refused = Refused, version { $version }
moved-paid = Paid, version { $version }
life-pack = pack { $pack }
life-next-none = Not sent yet. Make the claim pack, send it, and record the day.
life-next-waiting = With the programme. Nothing to do until it speaks.
life-next-queried = Answer the query: { $text }
life-next-answered = Answered. Send the claim again where the programme wants it so; else wait.
life-next-refused = Refused: { $text } Put it right and send it again, or close the job.
life-next-short = Still to come: { $amount }. Ask for it, or record why not.
life-next-paid = Paid in full. Keep the records as long as the programme says.

visit-recorded = Recorded.
visit-filled = Filled in from what is known: { $names }.
visit-not-left-safe = Not said to be done before the house is left: { $names }.

why-calibration = { $name } was calibrated too long ago: good until { $until }, used on { $date }.
lapse-ends = Ends with the renewed paper.
