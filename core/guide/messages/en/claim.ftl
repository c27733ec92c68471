# The claim's PDF: headings, columns, requirements and reasons.

claim-title = Claim under the { $programme }
claim-pages = { "{page}" } / { "{pages}" }
claim-mark = made of { $mark }
claim-whole-word = Ready
claim-whole = This claim can be paid: everything that the { $programme } asks for is here and counts. The evidence table says on what each line rests.
claim-not-whole-word = Not yet
claim-not-whole = { $count ->
    [0] This claim cannot be paid yet: everything asked for is here, and what is said above stands in the way.
    [one] This claim cannot be paid yet: one thing that the programme asks for is missing or does not count.
   *[other] This claim cannot be paid yet: { $count } things that the programme asks for are missing or do not count.
}
claim-house = House
claim-programme = Programme
claim-business = Business
claim-grant = Grant
claim-as-of = As of
claim-wall = One course for each stage, from the survey below to the claim on top; one brick for each thing the job needs.
claim-missing = What still stands between
claim-deadlines = Deadlines
claim-due-met = { $due }; met on { $met }
claim-due-open = { $due }; still open
deadline-certificate = Recycler’s certificate
deadline-claim = Claim sent
claim-evidence = What is shown, and on what it rests
claim-evidence-how = Each line is one thing that the programme asks for. The last column names the files in the folder “originals” by the first eight characters of their names, and how many signed entries stand behind the line.
claim-column-wanted = Asked for, and how it stands
claim-column-rests = Rests on
claim-column-where = Where it lies
claim-column-asked = Asked
claim-column-answer = Answer
claim-column-usual = Usual
claim-column-by = By
claim-entries = { $count ->
    [one] 1 entry
   *[other] { $count } entries
}
claim-earlier = { $count ->
    [one] one earlier entry
   *[other] { $count } earlier entries
}
shown-met = shown
shown-doubtful = shown, unusual
shown-failed = does not count
shown-open = missing
shown-waiting = waiting
shown-not-needed = not needed
rests-chain = order proven by the signed entries
rests-clock = the devices’ clocks
rests-date = dates on papers
rests-signed = signed entries
claim-photo-alt = { $what }, recorded { $date }
claim-photo-no-time = no time of its own
claim-photo-distance = { $distance } from the house ({ $place })
claim-photo-passed-over = Does not count: { $why }
claim-photo-grade = Grade: { $grade }
claim-paper-pages = { $count ->
    [one] 1 page
   *[other] { $count } pages
}
claim-figures = Figures
claim-figures-how = Worked out from the answers above. They are a second opinion: listing, manual and adopted code govern.
claim-annex = Annex: further figures
claim-verdict = By the sum
verdict-pass = within what was asked
verdict-fail = not as asked
verdict-caution = with a caution
verdict-cannot_tell = cannot be told
claim-signatures = Signatures
claim-signature-alt = Signature of { $name }
claim-covers = Covers { $count } entries, summary { $digest }
signed-signed = signed on the device
signed-declined = declined to sign
signed-on-paper = signed on paper
claim-check = How to check this pack
claim-check-how = Unpack it and run “sha256sum -c SHA256SUMS”: every file must be OK. READ-ME-FIRST.txt says how the signed entries are checked with common tools, or in one step with “wythe check-pack”.
claim-check-whose = This pack was signed for { $business }. The fingerprint of its key: { $fingerprint }. Compare it with the one that the business told you once.

date = { $month } { $day }, { $year }
month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December

need-owners_on_title = All owners as on the title
need-uncertified = Old stove not certified
need-stove_working = Old stove connected and working
need-before_photo = Photo of the old stove in place
need-plate_photo = Photo of the old plate
need-before_with_tag = Photo in place with its tag
need-approval = Approval with number and dates
need-approval_valid = Approval good on the day of the removal
need-model_listed = New stove on the programme’s list
need-dates_in_order = Dates in order
need-door_photo = Photo: door off
need-hinge_photo = Photo: hinges cut
need-body_photo = Photo: body holed
need-plate_defaced_photo = Photo: plate defaced
need-weight_ticket = Weight ticket
need-ticket_names_stove = Ticket names the stove
need-certificate = Recycler’s certificate with its fields
need-not_resold = Certificate says destroyed, not resold
need-certificate_in_time = Certificate in time
need-serial_same = Serial the same on plate, crate and invoice
need-serial_photo = Photo of the new plate
need-liner_fit_kept = Liner fit worked out and kept
need-fitter_licence = Fitter’s licence number
need-licence_valid = Licence good on the day
need-insurance_valid = Insurance good on the day
need-enrolment_valid = Enrolment good on the day
need-rough_inspection = Rough inspection
need-manifold_pressure = Manifold pressure recorded
need-flame_photo = Photo of the flame
need-after_photo = Photo after, same view
need-owner_signature = Owner’s signature
need-renter_signature = Renter’s signature
need-permit = Permit with its number
need-permit_final = Permit final
need-application = Application
need-invoice = Invoice with date, name and address
need-names_alike = Name the same on all papers
need-addresses_alike = Address the same on all papers
need-grant_on_invoice = Grant as a line of the invoice
need-tax_form = Tax form on file
need-one_claim = One claim for the household
need-photos_of_this_job = Photos used in no other job

why-overdue = It was due on { $date }.
why-photo-after-event = Taken after the { $event } ({ $date }); it would have to be from before.
why-photo-before-event = Taken before the { $event } ({ $date }); it would have to be from after.
why-event-not-yet = The { $event } is not recorded yet.
why-grade = The photo is below “{ $wanted }”: { $reasons }. Take it again, or say why it is the best that can be had.
why-no-tag = The job’s tag was not read in the photo.
why-other-tag = Another job’s tag is in the photo.
why-fields-missing = Still to be read off it: { $fields }.
why-declined = The signer declined.
why-signed-an-earlier-state = Signed for an earlier state: an entry that it covers was changed since.
why-answer = The answer is “{ $value }”.
why-not-the-same = They are not the same: { $texts }.
why-not-alike = A clerk would ask: { $texts }.
why-order = The { $second } ({ $date }) is before the { $first }.
why-late = It came on { $date }; the last day was { $due }.
why-lapsed = Good until { $until }; the day was { $date }.
why-figures-changed = What they were worked out from has changed since they were kept. Keep them anew.
why-figures-stop = They carry a stop.
why-too-general = It says only “{ $text }”. It has to name the stove.
why-not-named = It does not name the stove: “{ $text }”.
why-not-the-grant = It says { $value }; the grant is { $grant }.
why-same-house = Job { $job } claims for the same house.
why-photo-elsewhere = The same photo is in job { $job }.
