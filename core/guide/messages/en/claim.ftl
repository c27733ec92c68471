# The claim’s PDF: headings, columns, states.

claim-title = Claim under the { $programme }
claim-pages = { "{page}" } / { "{pages}" }
claim-mark = made of { $mark }
claim-whole-word = Ready
claim-whole = This claim can be paid: everything that the { $programme } asks for is here and counts. The evidence table says on what each line rests.
claim-not-whole-word = Not yet
claim-not-whole = { $count ->
    [0] This claim cannot be paid yet: everything asked for is here; what is said above stands in the way.
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
rests-chain = one phone’s signed entries, in their order
rests-seen = signed entries of two phones, the later one written with the earlier one at hand
rests-arrival = the office’s clock: it had the earlier one first
rests-clock = the phones’ own time
rests-date = dates on papers
rests-signed = signed entries
claim-photo-alt = { $what }, recorded { $date }
claim-photo-no-time = no time of its own
claim-photo-distance = { $distance } from the house, bearing { $bearing } ({ $place })
claim-photo-phone-place = The phone’s own place: { $place }
claim-photo-tag = Job’s tag: { $what }
tag-own = read
tag-other-job = another job’s
tag-not-genuine = not genuine
tag-none = not read
claim-words-digest = SHA-256 of the words: { $digest }
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

sign-sheet-covers = What it covers
sign-sheet-digest = SHA-256 of what it covers: { $digest }
sign-sheet-lines = Lines for name, date and signature
sign-sheet-name = Name
sign-sheet-date = Date
sign-sheet-signature = Signature
sign-here = Sign here
sign-on-paper = Signed on paper
sign-decline = Decline to sign
claim-signed-page = The page that was signed: { $name }
