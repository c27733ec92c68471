# Stages, visits, states and the words between.

stage-survey = Survey
stage-plan = Plan
stage-removal = Removal
stage-chimney_top = Chimney top
stage-lining = Lining
stage-setting = Setting
stage-gas = Gas
stage-start_up = Start-up
stage-walk_through = Walk-through
stage-destruction = Destruction
stage-claim = Claim

visit-survey = Survey
visit-desk = Desk
visit-day_1 = Day 1
visit-day_2 = Day 2
visit-inspector = Inspector
visit-correction = Correction
visit-recycler = Recycler
visit-call_back = Call-back

step-survey-people = People
step-survey-house = House
step-survey-old_stove = Old stove
step-survey-flue = Flue
step-survey-hazards = Hazards
step-survey-gas = Gas
step-plan-approval = Approval
step-plan-permit = Permit
step-plan-new_stove = New stove
step-plan-vent = Vent
step-plan-hazards = Hazards
step-plan-quote = Sale
step-plan-delivery = Delivery
step-removal-arrival = On arrival
step-removal-photos = Before the pipe is touched
step-removal-pipe = Out it comes
step-removal-sweep = Sweep and camera
step-removal-away = Away
step-chimney_top-going_up = Going up
step-chimney_top-measures = Measures
step-chimney_top-cap = Plate and cap
step-lining-liner = Liner
step-lining-ends = Ends
step-setting-stove = Stove
step-setting-clearances = Clearances
step-setting-pipe = Pipe and restrictor
step-gas-line = Line
step-gas-test = Pressure test
step-gas-inspection = Inspection
step-gas-relight = Other appliances
step-gas-fitter = Fitter
step-start_up-pressures = Pressures
step-start_up-meter = Meter and orifice
step-start_up-lighting = Lighting
step-start_up-air = Air in the room
step-start_up-done = Done
step-walk_through-owner = With the owner
step-walk_through-sign = Signatures
step-destruction-before = Before cutting
step-destruction-acts = Made unusable
step-destruction-recycler = At the recycler
step-destruction-certificate = Certificate
step-claim-papers = Papers
step-claim-permit = Permit final
step-claim-business = The business's own papers

choice-yes = yes
choice-no = no
choice-natural_gas = natural gas
choice-propane = propane
choice-rectangular = rectangular
choice-round = round
choice-uncertified = not certified
choice-certified = certified
choice-no_plate = no plate found
choice-seven_in_wc = 7 in w.c.
choice-two_psi = 2 psi
choice-eleven_in_wc = 11 in w.c.
choice-annulus = one exhaust liner, air around it in the tile
choice-two_liners = two liners side by side
choice-clear = clear
choice-contains = contains it
choice-abated = abated
choice-level_1 = level 1
choice-level_2 = level 2
choice-level_3 = level 3
choice-three_in = 3 in
choice-four_in = 4 in
choice-outlet = outlet
choice-battery = battery
choice-none_needed = none needed

role-lead = crew lead
role-installer = installer
role-fitter = licensed fitter
role-sweep = sweep
role-office = office
role-owner = owner
role-owner_quote = owner
role-renter = renter
role-recycler = recycler
role-inspector = inspector
role-programme = programme

group-old_stove = old stove { $number }
group-owner = owner { $number }
group-tile_section = section { $number }
group-reading = reading { $number }

event-approval = approval
event-approval_end = end of the approval
event-sale = sale
event-delivery = delivery
event-disconnected = moment the pipe was touched
event-removal = removal
event-installation = installation
event-destruction = destruction
event-ticket = weight ticket
event-certificate = recycler's certificate
event-permit_final = permit final
event-invoice = invoice
event-claim_sent = sending of the claim
event-opened = opening of the job

word-note = Note
word-caution = Caution
word-stop = Stop

state-there = there
state-missing = missing
state-disagreeing = people disagree
state-does-not-count = does not count
state-waiting = waiting
state-doubtful = doubtful

wall-whole = Everything is there.
wall-stopped = Everything is there, and a stop stands.
wall-missing = { $count } missing: { $names }
wall-more = and { $count } more
wall-note = { $there } of { $all }

row-from = From: { $who }.
row-waiting = Waiting for: { $who }.
row-by = By { $date }.
evidence-count = { $count ->
    [one] 1 added
   *[other] { $count } added
}
remark-doubtful = Kept, but unusual. Measure again if you can.
screen-missing = What’s missing
newer-program = Part of this job was recorded by a newer program. Bring this one up to date before anybody signs.

grade-good = good
grade-usable = usable
grade-weak = weak
grade-poor = poor

figures-lining-liner_fit = Does the liner fit the flue?
figure-liner_fit-fits = Fits
figure-liner_fit-gap_a = Gap one way
figure-liner_fit-gap_b = Gap the other way
figure-liner_fit-spare_diagonal = Spare on the diagonal
figure-liner_fit-intake_to_exhaust = Way in for air to way out
figure-liner_fit-tile_area = Area of the tile
figure-liner_fit-offset-passes = Passes the offset

consent-owner = I have been shown the new stove: on and off, the gas shut-off, what to do in a power cut, the hot glass and its screen, the smell of the first burns, and the card for a smell of gas. { $business } has removed the old stove at { $house } and will have it destroyed under the { $programme }. I agree that these records are given to the programme. I may ask for them on paper, and I may decline to sign on this device. These words were not reviewed by a lawyer.
consent-renter = I live in the house at { $house }. I have been shown the new stove and its gas shut-off, the hot glass and its screen, and the card for a smell of gas. I agree that { $business } gives these records to the { $programme }. I may ask for them on paper, and I may decline to sign on this device. These words were not reviewed by a lawyer.
consent-owner_quote = I have read the quote of { $business } for the house at { $house }, with the grant of the { $programme } as a line, and I agree to it. I may ask for it on paper, and I may decline to sign on this device. These words were not reviewed by a lawyer.
