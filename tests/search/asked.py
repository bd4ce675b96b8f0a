"""What technicians type, and the row wanted of it: of the demo, among the first three hits.

``AT_THE_CAR`` was at hand while the search was made. ``APART`` was written down before its tables
of words were, and nothing was set by it: it tells how well the rest is found.
"""

from __future__ import annotations

from typing import NamedTuple


class Asked(NamedTuple):
    """A query, and the row wanted: its kind, what its name and its number have in them."""

    text: str
    kind: str
    name: str
    shown: str = ""


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
    Asked("which socket for the charge air cooler bolts", "Fastener", "Charge-air cooler TF-220 bolts", "13 mm"),  # noqa: E501
    Asked("what socket for wheel nuts", "Fastener", "Wheel nuts", "mm"),
    Asked("socket for towing eye", "Fastener", "Towing eye", "24 mm"),
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
    Asked("undertray torx size", "Fastener", "Undertray screws", "T30"),
)  # fmt: skip

APART = (
    Asked("intercooler mount bolts", "Fastener", "Cooler bracket bolts", "45 N·m"),
    Asked("rotor screws torque", "Fastener", "Disc locating screws", "10 N·m"),
    Asked("lug nut torque rear truck", "Fastener", "rear", "136 N·m"),
    Asked("how tight spark plugs", "Fastener", "Spark plugs", "22 N·m"),
    Asked("which socket flywheel bolts", "Fastener", "Flywheel TF-180 bolts", "mm"),
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
    Asked("what size allen for gearbox fill plug", "Fastener", "Gearbox fill plug", "8 mm"),
)  # fmt: skip
