BEGIN TRANSACTION;
CREATE TABLE about (version INTEGER NOT NULL);
INSERT INTO "about" VALUES(1);
CREATE TABLE due (entry INTEGER NOT NULL REFERENCES entry (seq), sheet INTEGER NOT NULL, injection INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL);
INSERT INTO "due" VALUES(3,1,1,1795576500,1795578300);
INSERT INTO "due" VALUES(5,2,1,1795572900,1795574700);
INSERT INTO "due" VALUES(8,3,1,1795577400,1795579140);
CREATE TABLE entry (seq INTEGER PRIMARY KEY, at INTEGER NOT NULL, typed INTEGER NOT NULL, kind TEXT NOT NULL, clinic TEXT NOT NULL, sheet INTEGER NOT NULL, person TEXT NOT NULL, by_whom TEXT NOT NULL, body TEXT NOT NULL, digest TEXT NOT NULL UNIQUE);
INSERT INTO "entry" VALUES(1,1795442400,1,'opened','Lantern Cove Fertility Clinic',0,'','','','42d1df0da3078b04a7b0c8658151da2de36f1cd7eefb32e38d2ad97bcfe446cd');
INSERT INTO "entry" VALUES(2,1795442400,1,'numbered','Lantern Cove Fertility Clinic',1,'LC-2041','P. Invented','order: R-1124-07
digest: b5d38372c1d945fb7a84796a16c7145c9d280b0f9626a370c6482df22fc39d3a
made: 1795442400
','49764024fb339e1384607ec1522b1e0f0ad0e46fa5b7da28659feb317e6a9ed0');
INSERT INTO "entry" VALUES(3,1795442400,1,'printed','Lantern Cove Fertility Clinic',1,'LC-2041','P. Invented','clinic_name: Lantern Cove Fertility Clinic
demonstration: an invented clinic
clinic_zone: America/Halifax
person_name: Maren T.
person_code: LC-2041
person_zone: America/Halifax
weight: 68 kg
order_number: R-1124-07
sheet_number: 1
prepared_by: P. Invented
made_at: Monday 2026-11-23 10:00
protocol_name: evening-trigger
protocol_title: Your trigger injection
revision: 3
author: Dr A. Invented
approved_by: Dr R. Invented
approved_on: Monday 2026-10-05
review_by: Tuesday 2027-10-05
why: This injection readies your eggs. They stay ready only for some hours, so the time counts.
anchor: egg collection
anchor_time: Thursday 2026-11-26 11:30
anchor_time_clinic: Thursday 2026-11-26 11:30
day_zero: Thursday 2026-11-26
phone_day: 902 555 0120
phone_day_hours: 8:00 am to 5:00 pm
phone_day_answers: the nurses'' desk
phone_night: 902 555 0142
phone_night_hours: at any hour
phone_night_answers: the nurse
phone_emergency: 911
phone_second: 902 555 0149
phone_second_hours: at any hour
phone_second_answers: the doctor on call
phone_second_after: 5 min
signs_days: 10
fever: 38 C
dissolve: 5 min
dry: 1 min
press: 1 min
injection_count: 1
program_version: 0.1
source_digest: b5d38372
zone_database: 2025b
seal: 608e2622dc567524-52a9-c5cf-f509-71c9-596c
acted_on: aec1daafdc4f0042
language: en
injection_name_1: trigger
injection_number_1: 1
medicine_1: chorionic gonadotropin
box_name_1: chorionic gonadotropin 10,000 units
lot_1: A1234
expires_1: Tuesday 2027-08-31
dose_1: 10,000 units
activity_1: USP units
content_1: 10,000 units
use_by_1: 2027-08
containers_1: 1
containers_all_1: 1
diluent_1: bacteriostatic water 10 mL
diluent_volume_1: 10 mL
diluents_all_1: 1
leaflet_adds_1: 10 mL
add_1: 1 mL
add_mark_1: the line 1
final_volume_1: 1 mL
drawable_1: 1 mL
strength_1: 10,000 units/mL
exact_volume_1: 1 mL
volume_1: 1 mL
mark_1: the line 1
lost_1: 0.02 mL
dose_drawn_1: 10,000 units
syringe_1: 3 mL
syringe_capacity_1: 3 mL
syringes_1: 1
drawing_needle_1: 18 G x 1.5 in
drawing_needle_hub_1: pink
drawing_needles_1: 1
injecting_needle_1: 25 G x 1.5 in
injecting_needle_hub_1: orange
injecting_needles_1: 2
spare_needles_1: 1
alcohol_wipes_1: 4
gauze_pads_1: 2
small_plasters_1: 1
sharps_boxes_1: 1
angle_1: 90 degrees
route_1: intramuscular
site_1: ventrogluteal
giver_1: helper
least_1: the line 0.8
technique_1: Choose a side. Stand on the other leg, so that the muscle is loose.
late_1: Call us now, at any hour. Do not take more unless we tell you to.
injection_time_1: Tuesday 2026-11-24 23:30
last_time_1: Tuesday 2026-11-24 23:30
days_1: 1
days_left_1: 1
offset_1: 36 h
to_anchor_1: 36 h
window_before_1: 15 min
window_after_1: 15 min
earliest_1: Tuesday 2026-11-24 23:15
latest_1: Tuesday 2026-11-24 23:45
check_kit_1: Tuesday 2026-11-24 16:00
call_by_1: Tuesday 2026-11-24 17:00
set_alarms_1: Tuesday 2026-11-24 20:45
mix_from_1: Tuesday 2026-11-24 22:45
mix_until_1: Tuesday 2026-11-24 23:20
start_1: Tuesday 2026-11-24 22:45
sit_1: Tuesday 2026-11-24 23:20
valid_until_1: Wednesday 2026-11-25 05:30
check_code_1: UNRVU
acts_1: 1795577400
from_1: 1795576500
until_1: 1795578300
lot_of_box_1: A1234
boxes: chorionic gonadotropin 10,000 units, lot A1234
file_1: LC-2041-1-trigger.pdf sha256 e0d12c7c7a149cdbd480201d1dbd838e47d823aed5c001f617892a4096f573f8
','796ef391216c39a45ae4e39097ebcfce9dcb93599018aab58afa591adacea7a7');
INSERT INTO "entry" VALUES(4,1795442400,1,'numbered','Lantern Cove Fertility Clinic',2,'LC-2058','P. Invented','order: R-1124-09
digest: fc3c44cc6fe4589401bae34d939850de0451ed51c9793c72934c701505a24868
made: 1795442400
','e7bc09fa0d7094305e13e4a501ec2e467ac13004f624c9539e2c9262397c2f65');
INSERT INTO "entry" VALUES(5,1795442400,1,'printed','Lantern Cove Fertility Clinic',2,'LC-2058','P. Invented','clinic_name: Lantern Cove Fertility Clinic
demonstration: an invented clinic
clinic_zone: America/Halifax
person_name: Ines R.
person_code: LC-2058
person_zone: America/Halifax
weight: 64 kg
order_number: R-1124-09
sheet_number: 2
prepared_by: P. Invented
made_at: Monday 2026-11-23 10:00
protocol_name: arm-trigger
protocol_title: Your trigger injection
revision: 1
author: Dr B. Madeup
approved_by: Dr A. Invented
approved_on: Monday 2026-10-05
review_by: Tuesday 2027-10-05
why: This injection readies your eggs. They stay ready only for some hours, so the time counts.
anchor: egg collection
anchor_time: Thursday 2026-11-26 09:30
anchor_time_clinic: Thursday 2026-11-26 09:30
day_zero: Thursday 2026-11-26
phone_day: 902 555 0120
phone_day_hours: 8:00 am to 5:00 pm
phone_day_answers: the nurses'' desk
phone_night: 902 555 0142
phone_night_hours: at any hour
phone_night_answers: the nurse
phone_emergency: 911
phone_second: 902 555 0149
phone_second_hours: at any hour
phone_second_answers: the doctor on call
phone_second_after: 5 min
signs_days: 10
fever: 38 C
dissolve: 5 min
dry: 1 min
press: 1 min
injection_count: 1
program_version: 0.1
source_digest: fc3c44cc
zone_database: 2025b
seal: 130b49e0fafbcd07-2451-f06a-f509-2698-596c
acted_on: d06c59d63882c2b2
language: en
injection_name_1: trigger
injection_number_1: 1
medicine_1: chorionic gonadotropin
box_name_1: chorionic gonadotropin 10,000 units
lot_1: A1234
expires_1: Tuesday 2027-08-31
dose_1: 10,000 units
activity_1: USP units
content_1: 10,000 units
use_by_1: 2027-08
containers_1: 1
containers_all_1: 1
diluent_1: bacteriostatic water 10 mL
diluent_volume_1: 10 mL
diluents_all_1: 1
leaflet_adds_1: 10 mL
add_1: 1 mL
add_mark_1: the line 1
final_volume_1: 1 mL
drawable_1: 1 mL
strength_1: 10,000 units/mL
exact_volume_1: 1 mL
volume_1: 1 mL
mark_1: the line 1
lost_1: 0.02 mL
dose_drawn_1: 10,000 units
syringe_1: 3 mL
syringe_capacity_1: 3 mL
syringes_1: 1
drawing_needle_1: 22 G x 1.5 in
drawing_needle_hub_1: black
drawing_needles_1: 1
injecting_needle_1: 25 G x 1 in
injecting_needle_hub_1: orange
injecting_needles_1: 2
spare_needles_1: 1
alcohol_wipes_1: 4
gauze_pads_1: 2
small_plasters_1: 1
sharps_boxes_1: 1
angle_1: 90 degrees
route_1: intramuscular
site_1: deltoid
giver_1: helper
least_1: the line 0.8
fingers_1: 2
technique_1: When you are alone, rest your arm against the corner of a wall.
late_1: Call us now, at any hour. Do not take more unless we tell you to.
injection_time_1: Tuesday 2026-11-24 22:30
last_time_1: Tuesday 2026-11-24 22:30
days_1: 1
days_left_1: 1
offset_1: 35 h
to_anchor_1: 35 h
window_before_1: 15 min
window_after_1: 15 min
earliest_1: Tuesday 2026-11-24 22:15
latest_1: Tuesday 2026-11-24 22:45
check_kit_1: Tuesday 2026-11-24 16:00
call_by_1: Tuesday 2026-11-24 17:00
set_alarms_1: Tuesday 2026-11-24 19:45
mix_from_1: Tuesday 2026-11-24 21:45
mix_until_1: Tuesday 2026-11-24 22:20
start_1: Tuesday 2026-11-24 21:45
sit_1: Tuesday 2026-11-24 22:20
valid_until_1: Wednesday 2026-11-25 04:30
check_code_1: CX6KP
acts_1: 1795573800
from_1: 1795572900
until_1: 1795574700
lot_of_box_1: A1234
boxes: chorionic gonadotropin 10,000 units, lot A1234
finding_1: site_unusual
accepted_1: Dr A. Invented, until 2027-04-05: The helper at home is trained for the arm and cannot reach the hip.
file_1: LC-2058-2-trigger.pdf sha256 6eaa77a3c01468d46e4349862786ccf12aa61019a5b04c19fcdee78d13d3d67d
','b76bd8c0d3f46c602cf753305facc12a516d26eedb570a5bd41e278d06b9dfdb');
INSERT INTO "entry" VALUES(6,1795442400,1,'call','Lantern Cove Fertility Clinic',1,'LC-2041','K. Madeup','said: asked about the needle
','dc71184de42b5ce4890f006d8a0760e76d4ba33768e5b512710fc1ce367799d2');
INSERT INTO "entry" VALUES(7,1795442400,1,'numbered','Lantern Cove Fertility Clinic',3,'LC-2041','P. Invented','order: R-1124-07
digest: 233715a46d8222878c56815d9215da31ab0cddc73e4216d86ffde414d2e5df85
made: 1795442400
replaces: 1
','3d5f4cd6118d9eebdda0232c57d7685c54f303c57dd55cddd729c936764823ca');
INSERT INTO "entry" VALUES(8,1795442400,1,'printed','Lantern Cove Fertility Clinic',3,'LC-2041','P. Invented','clinic_name: Lantern Cove Fertility Clinic
demonstration: an invented clinic
clinic_zone: America/Halifax
person_name: Maren T.
person_code: LC-2041
person_zone: America/Halifax
weight: 68 kg
order_number: R-1124-07
sheet_number: 3
replaces_number: 1
prepared_by: P. Invented
made_at: Monday 2026-11-23 10:00
protocol_name: evening-trigger
protocol_title: Your trigger injection
revision: 3
author: Dr A. Invented
approved_by: Dr R. Invented
approved_on: Monday 2026-10-05
review_by: Tuesday 2027-10-05
why: This injection readies your eggs. They stay ready only for some hours, so the time counts.
anchor: egg collection
anchor_time: Thursday 2026-11-26 11:45
anchor_time_clinic: Thursday 2026-11-26 11:45
day_zero: Thursday 2026-11-26
phone_day: 902 555 0120
phone_day_hours: 8:00 am to 5:00 pm
phone_day_answers: the nurses'' desk
phone_night: 902 555 0142
phone_night_hours: at any hour
phone_night_answers: the nurse
phone_emergency: 911
phone_second: 902 555 0149
phone_second_hours: at any hour
phone_second_answers: the doctor on call
phone_second_after: 5 min
signs_days: 10
fever: 38 C
dissolve: 5 min
dry: 1 min
press: 1 min
injection_count: 1
program_version: 0.1
source_digest: 233715a4
zone_database: 2025b
seal: 608e2622dc567524-52a9-c5cf-f509-71c9-596c
acted_on: 61ac450734233b13
language: en
injection_name_1: trigger
injection_number_1: 1
medicine_1: chorionic gonadotropin
box_name_1: chorionic gonadotropin 10,000 units
lot_1: A1234
expires_1: Tuesday 2027-08-31
dose_1: 10,000 units
activity_1: USP units
content_1: 10,000 units
use_by_1: 2027-08
containers_1: 1
containers_all_1: 1
diluent_1: bacteriostatic water 10 mL
diluent_volume_1: 10 mL
diluents_all_1: 1
leaflet_adds_1: 10 mL
add_1: 1 mL
add_mark_1: the line 1
final_volume_1: 1 mL
drawable_1: 1 mL
strength_1: 10,000 units/mL
exact_volume_1: 1 mL
volume_1: 1 mL
mark_1: the line 1
lost_1: 0.02 mL
dose_drawn_1: 10,000 units
syringe_1: 3 mL
syringe_capacity_1: 3 mL
syringes_1: 1
drawing_needle_1: 18 G x 1.5 in
drawing_needle_hub_1: pink
drawing_needles_1: 1
injecting_needle_1: 25 G x 1.5 in
injecting_needle_hub_1: orange
injecting_needles_1: 2
spare_needles_1: 1
alcohol_wipes_1: 4
gauze_pads_1: 2
small_plasters_1: 1
sharps_boxes_1: 1
angle_1: 90 degrees
route_1: intramuscular
site_1: ventrogluteal
giver_1: helper
least_1: the line 0.8
technique_1: Choose a side. Stand on the other leg, so that the muscle is loose.
late_1: Call us now, at any hour. Do not take more unless we tell you to.
injection_time_1: Tuesday 2026-11-24 23:45
last_time_1: Tuesday 2026-11-24 23:45
days_1: 1
days_left_1: 1
offset_1: 36 h
to_anchor_1: 36 h
window_before_1: 15 min
window_after_1: 15 min
earliest_1: Tuesday 2026-11-24 23:30
latest_1: Tuesday 2026-11-24 23:59
check_kit_1: Tuesday 2026-11-24 16:00
call_by_1: Tuesday 2026-11-24 17:00
set_alarms_1: Tuesday 2026-11-24 21:00
mix_from_1: Tuesday 2026-11-24 23:00
mix_until_1: Tuesday 2026-11-24 23:35
start_1: Tuesday 2026-11-24 23:00
sit_1: Tuesday 2026-11-24 23:35
valid_until_1: Wednesday 2026-11-25 05:45
check_code_1: HRAKJ
acts_1: 1795578300
from_1: 1795577400
until_1: 1795579140
lot_of_box_1: A1234
boxes: chorionic gonadotropin 10,000 units, lot A1234
file_1: LC-2041-3-trigger.pdf sha256 be60ba1df3ff726a432e2c493b168c763b273e8f89bf2ed758afb166174fd677
','e72deea0dae6b1dade88a6dcd8f5e51c78c6c75a423829c2f20d698d390aa501');
INSERT INTO "entry" VALUES(9,1795442400,1,'replaced','Lantern Cove Fertility Clinic',1,'LC-2041','P. Invented','by_sheet: 3
','cebd6cb8b8ba17aa1cf7cbdf84a3502180b68cd1996194f5dccd9e6d15d2d739');
INSERT INTO "entry" VALUES(10,1795442400,1,'cancelled','Lantern Cove Fertility Clinic',2,'LC-2058','K. Madeup','because: no egg collection
','29d07d251b6f53af635fd341e062c63eac2d31895b3061adf98082ec8ef9310e');
INSERT INTO "entry" VALUES(11,1795442400,1,'recalled','Lantern Cove Fertility Clinic',0,'','K. Madeup','lot: Z77
because: cracked
','7d492a651b800ad8ee10593a3090838893402743a57509b6553674aaf14f00e9');
CREATE TABLE word (entry INTEGER NOT NULL REFERENCES entry (seq), sheet INTEGER NOT NULL, word TEXT NOT NULL);
INSERT INTO "word" VALUES(3,1,'lc2041');
INSERT INTO "word" VALUES(3,1,'r112407');
INSERT INTO "word" VALUES(3,1,'marent');
INSERT INTO "word" VALUES(3,1,'maren');
INSERT INTO "word" VALUES(3,1,'t');
INSERT INTO "word" VALUES(3,1,'unrvu');
INSERT INTO "word" VALUES(3,1,'a1234');
INSERT INTO "word" VALUES(5,2,'lc2058');
INSERT INTO "word" VALUES(5,2,'r112409');
INSERT INTO "word" VALUES(5,2,'inesr');
INSERT INTO "word" VALUES(5,2,'ines');
INSERT INTO "word" VALUES(5,2,'r');
INSERT INTO "word" VALUES(5,2,'cx6kp');
INSERT INTO "word" VALUES(5,2,'a1234');
INSERT INTO "word" VALUES(8,3,'lc2041');
INSERT INTO "word" VALUES(8,3,'r112407');
INSERT INTO "word" VALUES(8,3,'marent');
INSERT INTO "word" VALUES(8,3,'maren');
INSERT INTO "word" VALUES(8,3,'t');
INSERT INTO "word" VALUES(8,3,'hrakj');
INSERT INTO "word" VALUES(8,3,'a1234');
CREATE INDEX entry_sheet ON entry (sheet, seq);
CREATE INDEX entry_person ON entry (person, seq);
CREATE INDEX entry_kind ON entry (kind, seq);
CREATE INDEX due_last ON due (last, first);
CREATE INDEX due_entry ON due (entry);
CREATE INDEX word_word ON word (word);
CREATE INDEX word_entry ON word (entry);
CREATE TRIGGER entry_never_UPDATE BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE TRIGGER entry_never_DELETE BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE TRIGGER due_never_UPDATE BEFORE UPDATE ON due BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE TRIGGER due_never_DELETE BEFORE DELETE ON due BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE TRIGGER word_never_UPDATE BEFORE UPDATE ON word BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE TRIGGER word_never_DELETE BEFORE DELETE ON word BEGIN SELECT RAISE(ABORT, 'the record is append only'); END;
CREATE INDEX entry_typed ON entry (typed, at);
COMMIT;
