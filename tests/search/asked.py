"""What technicians type, and the row wanted of it: of the demo, among the first three hits.

``AT_THE_CAR`` was at hand while the search was made. ``APART`` was written down before its tables
of words were, and nothing was set by it: it tells how well the rest is found. ``AT_THE_LIFT`` was
written down later by one who had read neither list nor table, only the demo: 31 of 40 were found
at the first run, and what that showed to be missing for all manuals was mended. ``WITH_ONE_THUMB``
came after it in the same way, with where the reader stands: 39 of 60 at the first run.
"""

from __future__ import annotations

from typing import NamedTuple


class Asked(NamedTuple):
    """A query, and the row wanted: its kind, what its name and its number have in them.

    ``where`` is the procedure that is open, or the vehicle of which a car was chosen on the search
    page; ``anchor`` that of the row on its page, which is the one that is open where one is.
    """

    text: str
    kind: str
    name: str
    shown: str = ""
    where: str = ""
    anchor: str = ""


AT_THE_CAR = (
    Asked("intercooler", "Part", "Charge-air cooler TF-220"),
    Asked("intercooler bolts torque", "Fastener", "Charge-air cooler TF-220 bolts", "22 N·m"),
    Asked("inter cooler hose clamps", "Fastener", "hose clamps TF-220", "7 N·m"),
    Asked("rotor", "Part", "brake discs"),
    Asked("rotors front", "Part", "brake discs"),
    Asked("tire gauge", "Tool", "tyre gauge"),
    Asked("wheel bolts", "Fastener", "Wheel nuts"),
    Asked("wheel bolts torque left front", "Fastener", "Wheel nuts, left front", "110 N·m"),
    Asked("lug nuts", "Fastener", "Wheel nuts"),
    Asked("which socket for the charge air cooler bolts", "Tool", "13 mm socket", "Charge-air cooler TF-220 bolts"),  # noqa: E501
    Asked("what socket for wheel nuts", "Tool", "19 mm socket", "Wheel nuts"),
    Asked("socket for towing eye", "Tool", "24 mm socket", "Towing eye"),
    Asked("13 mm socket", "Tool", "13 mm socket"),
    Asked("how much brake fluid", "Fluid", "Brake fluid", "0.9 L"),
    Asked("how much coolant", "Fluid", "Coolant", "12 US qt"),
    Asked("oil capacity gearbox", "Fluid", "Gearbox oil", "2.1 L"),
    Asked("what oil goes in the rear axle", "Fluid", "Rear axle oil", "75W-90"),
    Asked("brake fluid type", "Fluid", "Brake fluid", "DOT 4"),
    Asked("how tight are the cooler bolts", "Fastener", "Charge-air cooler TF-220 bolts", "22 N·m"),
    Asked("how tight is the pinion nut", "Fastener", "Pinion nut BD-530", "200 N·m"),
    Asked("caliper torque", "Fastener", "aliper", "N·m"),
    Asked("torque spec flywheel bolts", "Fastener", "Flywheel TF-180 bolts", "30°"),
    Asked("what order header nuts", "Fastener", "header nuts", "in order"),
    Asked("cooler bolts sequence", "Fastener", "Charge-air cooler TF-220 bolts", "in order"),
    Asked("which thread locker for ring gear bolts", "Fastener", "Ring gear bolts BD-530", "thread-locker"),  # noqa: E501
    Asked("where does threadlocker go", "Fastener", "", "thread-locker"),
    Asked("anti seize header studs", "Fastener", "Header studs", "anti-seize"),
    Asked("can I reuse the strut bolts", "Fastener", "Strut-to-knuckle bolts", "used again"),
    Asked("shocks rear", "Part", "Rear dampers"),
    Asked("shock absorber", "Part", "dampers"),
    Asked("strut bolts", "Fastener", "Strut-to-knuckle bolts TF-260"),
    Asked("sway bar links", "", "Anti-roll bar link"),
    Asked("rear diff fluid", "Fluid", "Rear axle oil", "2.5 US qt"),
    Asked("transmission removal", "Page", "Take the manual gearbox out"),
    Asked("tranny mount bolts", "Fastener", "Gearbox mount bolts", "40 N·m"),
    Asked("bell housing bolts", "Fastener", "Gearbox-to-engine bolts"),
    Asked("prop shaft bolts", "Fastener", "Propshaft flange bolts BD-530", "54 N·m"),
    Asked("exhaust manifold gasket", "Part", "gasket"),
    Asked("oxygen sensor torque", "Fastener", "oxygen sensor", "45 N·m"),
    Asked("lambda sensor", "Part", "oxygen sensor"),
    Asked("air filter box bolts", "Fastener", "Air filter housing bolts"),
    Asked("gas tank seal", "Part", "Pump module seal BD-310"),
    Asked("fuel pump bolts torque", "Fastener", "Pump module BD-310 bolts", "5 N·m"),
    Asked("spanner", "Tool", "spanner"),
    Asked("torque wrench", "Tool", "Click wrench"),
    Asked("jack stands", "Tool", "axle stands"),
    Asked("floor jack", "Tool", "trolley jack"),
    Asked("vise", "Tool", "vice"),
    Asked("allen key 6mm", "Tool", "6 mm hex-key bit"),
    Asked("clutch alignment tool", "Tool", "clutch centring mandrel"),
    Asked("zip ties", "Supply", "Cable tie"),
    Asked("disconnect battery", "", "battery"),
    Asked("bleed the brakes", "Step", "Bleed both front calipers"),
    Asked("front bumper removal", "Step", "bumper cover"),
    Asked("earth strap bolt gearbox", "Fastener", "Gearbox earth strap bolt", "20 N·m"),
    Asked("flywel bolts", "Fastener", "Flywheel TF-180 bolts"),
    Asked("charge hose clmaps", "Fastener", "hose clamps TF-220"),
    Asked("hose clamps cold side", "Fastener", "Cold-side hose clamps TF-220", "7 N·m"),
    Asked("part number brake pads", "Part", "Brake pads TF-140", "TF-140-04"),
    Asked("undertray torx size", "Tool", "T30", "Undertray screws"),
)  # fmt: skip

APART = (
    Asked("intercooler mount bolts", "Fastener", "Cooler bracket bolts", "45 N·m"),
    Asked("rotor screws torque", "Fastener", "Disc locating screws", "10 N·m"),
    Asked("lug nut torque rear truck", "Fastener", "rear", "136 N·m"),
    Asked("how tight spark plugs", "Fastener", "Spark plugs", "22 N·m"),
    Asked("which socket flywheel bolts", "Tool", "14 mm", "Flywheel TF-180 bolts"),
    Asked("how much diff oil", "Fluid", "Rear axle oil", "2.5 US qt"),
    Asked("transmission fluid capacity", "Fluid", "Gearbox oil", "2.1 L"),
    Asked("antifreeze", "Fluid", "Coolant", "12 US qt"),
    Asked("which bolts need thread locker", "Fastener", "", "thread-locker"),
    Asked("banjo washer", "Fastener", "washers"),
    Asked("top nut rear shock", "Fastener", "Rear damper upper nuts TF-260", "25 N·m"),
    Asked("coil springs front", "Part", "Front springs TF-260"),
    Asked("anti roll bar drop link nut", "Fastener", "Anti-roll bar link nuts", "40 N·m"),
    Asked("manifold nuts tightening order", "Fastener", "nuts", "in order"),
    Asked("O2 sensor", "Part", "oxygen sensor"),
    Asked("cv axle bolts", "Fastener", "driveshaft flange bolts", "28 N·m"),
    Asked("crown wheel bolts", "Fastener", "Ring gear bolts BD-530"),
    Asked("emergency brake cable", "Connection", "Handbrake cables"),
    Asked("throwout bearing", "Part", "Clutch release bearing TF-180"),
    Asked("splash shield screws", "Fastener", "Undertray screws", "5 N·m"),
    Asked("gearbox drain plug torque", "Fastener", "Gearbox drain plug", "25 N·m"),
    Asked("transmission drain plug washer", "Fastener", "Gearbox drain washer"),
    Asked("ac compressor bolts", "Fastener", "Compressor bolts", "20 N·m"),
    Asked("jack up the car", "", "Raise the car"),
    Asked("bedding in pads", "", "ed"),
    Asked("MAF plug", "Connection", "Air-mass sensor plug"),
    Asked("boost leak test", "Step", "Test the charge circuit for leaks"),
    Asked("serpentine belt", "Connection", "Drive belt"),
    Asked("tie rod lock nut", "Fastener", "Track rod locknuts", "50 N·m"),
    Asked("pressure plate bolt pattern", "Fastener", "Pressure plate TF-180 bolts"),
    Asked("wheel alignment", "", "lign"),
    Asked("petrol pump kit", "Kit", "fuel pump module"),
    Asked("power steering fluid quantity", "Fluid", "Steering oil", "1.1 US qt"),
    Asked("flywheel bolts one time use?", "Fastener", "Flywheel TF-180 bolts", "new every time"),
    Asked("starter bolt size", "Fastener", "Starter bolts", "M10x1.5"),
    Asked("diff cover bolts", "Fastener", "Axle cover bolts", "17.5 N·m"),
    Asked("torque to yield angle flywheel", "Fastener", "Flywheel TF-180 bolts", "+30°"),
    Asked("lower balljoint nut", "Fastener", "Ball joint", "N·m"),
    Asked("skidplate bolts", "Fastener", "Skid plate bolts", "41 N·m"),
    Asked("what size allen for gearbox fill plug", "Tool", "8 mm", "Gearbox fill plug"),
)  # fmt: skip

AT_THE_LIFT = (
    Asked("intercooler bolts torqe", "", "Charge-air cooler TF-220 bolts"),
    Asked("how tight wheel nuts finch", "", "Wheel nuts"),
    Asked("lug nut torque drover", "", "Wheel nuts"),
    Asked("how tight are the lugnuts", "", "Wheel nuts"),
    Asked("rotor screws", "", "Disc locating screws"),
    Asked("whats the calliper bracket torque", "", "Caliper bracket bolts"),
    Asked("brake line union tight", "", "Brake pipe unions at the body"),
    Asked("how much gear oil in the finch box", "", "Gearbox oil"),
    Asked("tranny oil quantity", "", "Gearbox oil"),
    Asked("diff oil how many quarts", "", "Rear axle oil"),
    Asked("which oil in rear axle", "", "Rear axle oil"),
    Asked("coolant capacity", "", "Coolant"),
    Asked("antifreeze how much", "", "Coolant"),
    Asked("what brake fluid dot", "", "Brake fluid"),
    Asked("TF220 07", "", "Charge-air cooler TF-220 bolts"),
    Asked("tf22007", "", "Charge-air cooler TF-220 bolts"),
    Asked("BD 530 03", "", "Ring gear bolts BD-530"),
    Asked("ring gear bolt left hand thread", "", "Ring gear bolts BD-530"),
    Asked("which way round do the pads go", "", "Fit the pads"),
    Asked("where is the gearbox drain plug", "", "Gearbox drain plug"),
    Asked("where is boost sensor", "", "Boost-pressure sensor"),
    Asked("where are the spark plugs", "", "Spark plugs"),
    Asked("wheres the fuel pump relay", "", "Pump relay"),
    Asked("shock absorber top nut torque", "", "Strut top mount nuts TF-260"),
    Asked("strut bolts stretch", "", "Strut-to-knuckle bolts TF-260"),
    Asked("sway bar link nuts", "", "Anti-roll bar link nuts"),
    Asked("tie rod locknut", "", "Track rod locknuts"),
    Asked("throwout bearing", "", "Clutch release bearing"),
    Asked("flywheel bolts angle", "", "Flywheel TF-180 bolts"),
    Asked("pressure plate bolt order", "", "Pressure plate TF-180 bolts"),
    Asked("drive shaft bolts left", "", "Left driveshaft flange bolts"),
    Asked("header nuts recheck", "", "header nuts"),
    Asked("o2 sensor socket", "Tool", "22 mm slotted socket", "oxygen sensor hexagon"),
    Asked("what size socket for cooler bracket bolts", "Tool", "16 mm socket", "Cooler bracket bolts"),  # noqa: E501
    Asked("25 ft lbs header flange", "", "Front pipe joint nuts"),
    Asked("22 nm", "", "Charge-air cooler TF-220 bolts"),
    Asked("8mm stud drover", "", "Header studs"),
    Asked("bleeding brakes sequence", "", "Bleed both front calipers"),
    Asked("disconect battery", "", "battery"),
    Asked("lower ball joint cotter pin", "", "Ball joint cotter pins"),
)  # fmt: skip

WITH_ONE_THUMB = (
    Asked("7.4 lbf·ft", "Fastener", "", "10 N·m", "tarrow-finch"),
    Asked("7,4 lbf·ft", "Fastener", "", "10 N·m", "tarrow-finch"),
    Asked("7.4 ft lb", "Fastener", "", "10 N·m", "tarrow-finch"),
    Asked("7.4 ftlb", "Fastener", "", "10 N·m"),
    Asked("33 lbf·ft", "Fastener", "Cooler bracket bolts", "45 N·m", "fit-tf-220"),
    Asked("33 ft-lbs", "Fastener", "oxygen sensor", "33 lbf·ft", "brannock-drover"),
    Asked("45nm", "Fastener", "Cooler bracket bolts", "45 N·m", "fit-tf-220"),
    Asked("110 Nm", "Fastener", "Wheel nuts", "110 N·m", "tarrow-finch"),
    Asked("81 ft lbs", "Fastener", "Wheel nuts", "110 N·m", "tarrow-finch"),
    Asked("1.0 kgm", "Fastener", "", "10 N·m", "tarrow-finch"),
    Asked("2,1 litres", "Fluid", "Gearbox oil", "2.1 L", "tarrow-finch"),
    Asked("2.2 qt", "Fluid", "Gearbox oil", "2.1 L", "tarrow-finch"),
    Asked("11.4 l", "Fluid", "Coolant", "12 US qt", "brannock-drover"),
    Asked("step 16", "Step", "", "", "fit-tf-180", "step-16"),
    Asked("16", "Step", "", "", "fit-tf-180", "step-16"),
    Asked("Step 5", "Step", "", "", "fit-tf-140", "step-5"),
    Asked("go to step 20", "Step", "", "", "fit-bd-420", "step-20"),
    Asked("step 12", "Step", "", "", "tarrow-finch", "step-12"),
    Asked("can I reuse the o-ring", "Part", "O-ring", "new every time", "fit-tf-220"),
    Asked("can i re-use the flywheel bolts", "Fastener", "Flywheel TF-180 bolts", "new every time", "fit-tf-180"),  # noqa: E501
    Asked("can the header nuts go on again", "Fastener", "header nuts", "again", "brannock-drover"),
    Asked("do I need new caliper bracket bolts", "Fastener", "Caliper bracket bolts", "new every time", "fit-tf-140"),  # noqa: E501
    Asked("which bolts are new", "Fastener", "Flywheel TF-180 bolts", "new every time", "fit-tf-180"),  # noqa: E501
    Asked("one time use bolts", "Fastener", "Caliper bracket bolts", "new every time", "fit-tf-140"),  # noqa: E501
    Asked("replace the drain washer", "Fastener", "Gearbox drain washer", "", "tarrow-finch"),
    Asked("rotor", "Part", "brake discs", "", "tarrow-finch"),
    Asked("rotor screw", "Fastener", "Disc locating screws", "10 N·m", "tarrow-finch"),
    Asked("brake rotors", "Part", "Two-piece brake discs", "", "fit-tf-140"),
    Asked("what size socket for the wheel nuts", "Tool", "19 mm", "Wheel nuts", "tarrow-finch"),
    Asked("lug nut socket size", "Tool", "22 mm", "Wheel nuts", "brannock-drover"),
    Asked("what size wrench for brake line", "Tool", "11 mm", "Brake pipe unions", "tarrow-finch"),
    Asked("spark plug socket", "Tool", "14 mm", "Spark plugs", "tarrow-finch"),
    Asked("oil capacity", "Fluid", "Gearbox oil", "2.1 L", "tarrow-finch"),
    Asked("diff oil capacity", "Fluid", "Rear axle oil", "2.5 US qt", "brannock-drover"),
    Asked("how much gear oil does it take", "Fluid", "Gearbox oil", "2.1 L", "tarrow-finch"),
    Asked("what brake fluid", "Fluid", "Brake fluid", "DOT 4", "tarrow-finch"),
    Asked("what coolant", "Fluid", "Coolant", "glycol", "brannock-drover"),
    Asked("who may unplug the airbag", "Step", "Unplug the side airbags", "", "fit-tf-260"),
    Asked("who is allowed to do high voltage", "Step", "starter-generator", "", "fit-bd-420"),
    Asked("warning airbag", "Step", "Unplug the side airbags", "", "fit-tf-260"),
    Asked("airbag danger", "Step", "Unplug the side airbags", "", "tarrow-finch"),
    Asked("hazards", "Step", "", ": ", "fit-bd-310"),
    Asked("tf18005", "Fastener", "Flywheel TF-180 bolts", "TF-180-05"),
    Asked("TF 220 9", "Part", "Boost-pressure sensor O-ring TF-220", "TF-220-09"),
    Asked("bd-420-06", "Fastener", "Header studs", "BD-420-06"),
    Asked("tf-260-1", "Part", "Front dampers TF-260", "TF-260-01", "tarrow-finch"),
    Asked("starter motor torqe", "Fastener", "Starter bolts", "40 N·m", "tarrow-finch"),
    Asked("stater bolts", "Fastener", "Starter bolts", "40 N·m", "tarrow-finch"),
    Asked("fly wheel bolts", "Fastener", "Flywheel TF-180 bolts", "30°", "fit-tf-180"),
    Asked("gear box mount torque", "Fastener", "Gearbox mount bolts", "40 N·m", "tarrow-finch"),
    Asked("ground strap torque", "Fastener", "Gearbox earth strap bolt", "20 N·m", "tarrow-finch"),
    Asked("plug gap", "Step", "Take the spark plugs out", "", "tarrow-finch"),
    Asked("shock absorber top nut", "Fastener", "nuts", "", "tarrow-finch"),
    Asked("tie rod lock nut torque", "Fastener", "Track rod locknuts", "50 N·m", "tarrow-finch"),
    Asked("o2 sensor torque", "Fastener", "oxygen sensor hexagon", "33 lbf·ft", "brannock-drover"),
    Asked("header bolt order", "Fastener", "header nuts", "in order", "fit-bd-420"),
    Asked("left hand thread", "Fastener", "Ring gear bolts", "left-hand thread", "brannock-drover"),
    Asked("how long do I wait before taking the battery off", "Step", "let the car go to sleep", "", "tarrow-finch"),  # noqa: E501
    Asked("when do I torque the control arm bolts", "", "Control arm rear bush bolts", "", "tarrow-finch"),  # noqa: E501
    Asked("how do I bleed the brakes", "Step", "Bleed both front calipers", "", "tarrow-finch"),
)  # fmt: skip
