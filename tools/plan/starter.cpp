#include "plan/starter.hpp"

namespace stile::tools {

const std::string_view starter_station =
    R"toml(# A station to begin with: it runs as it is. Take a tape measure and change the lines marked <--; the rest may stay
# until you know better. All values are invented. Lengths "3 m" or "10 ft", frequencies "7.1 MHz": always with a unit.
#   stile-plan my.toml                 the comparison and what to take
#   stile-plan my.toml --report out    the same with charts
# Lines that begin with #~ are options: take the #~ away and they count.

[station]
name = "my first walk"

[transmitter]
power = "5 W"                          # <-- what your set gives with the key down
swr_limit = 2                          # above this it holds its power back

[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.03 MHz", "7.10 MHz"]         # <-- the part you work on; the match must hold there and nowhere else

[[band]]
name = "20 m"
low = "14.0 MHz"
high = "14.35 MHz"
use = ["14.05 MHz", "14.30 MHz"]       # <--

[path]
distance = "100 km"                    # <-- how far away the others are; it decides whether low or high angles count

# The antenna as wires: [along, sideways, height] in metres. The first point of both wires is where the cable comes up.
[[antenna]]
name = "whip and trailing wire"
[antenna.wires]
ground = "medium dry"                  # or "wet", "average", "very dry", "sea", "fresh water"
[antenna.wires.feed]
gap = "20 mm"                          # <-- between the foot of the whip and the end of the wire
[antenna.wires.set]                    # the set on its frame ...
[antenna.wires.person]                 # ... and you: they are part of the antenna
[[antenna.wires.wire]]
name = "whip"
points = [[0, 0, 1.2], [0, 0, 4.2]]    # <-- foot and tip of the whip above the ground
radius = "1.5 mm"                      # <-- half its thickness, half way up
metal = "stainless steel"
[[antenna.wires.wire]]
name = "wire"
length = "5 m"                         # <-- the wire that trails behind you
radius = "0.5 mm"
metal = "copper"
insulation = { thickness = "0.5 mm", relative_permittivity = 3 }   # away with it when the wire is bare
[[antenna.wires.condition]]
name = "on dry grass"
[[antenna.wires.condition]]
name = "in wet grass"
kind = "lying wet"
[[antenna.wires.condition]]
name = "wire torn off"
kind = "torn off"
#~ [[antenna.wires.condition]]         # you touch the set: what hand and arm conduct is never known well
#~ name = "hand on the set"
#~ kind = "hand on set"
#~ contact = { resistance = ["0 ohm", "1 kohm"] }

# In place of the wires, when an antenna analyser has measured the whip at its foot, one sweep a condition:
#   [[antenna.load]]
#   condition = "on dry grass"
#   file = "dry.s1p"                   # where the power goes is not in a sweep: then the answer is for the power into the antenna

# How these come about on your walk. An accident must not break anything, but nobody asks the match to hold.
[[condition]]
name = "on dry grass"
share = 0.7                            # <-- of the time
lasts = "300 s"                        # <-- before it changes
[[condition]]
name = "in wet grass"
share = 0.3                            # <--
lasts = "120 s"                        # <--
[[condition]]
name = "wire torn off"
role = "accident"
#~ [[condition]]
#~ name = "hand on the set"
#~ share = 0.1
#~ lasts = "20 s"

[cable.lead]
type = "RG-174"
length = "0.8 m"                       # <-- from the set to the foot of the whip

# What could stand at the foot of the whip. Parts that you would buy or wind:
[parts]
inductor_q = 200                       # a good air coil; 100 for one on a small core
inductor_q_at = "7 MHz"
capacitor_q = 1000
capacitor_series = "E12"               # what the drawer holds

[tuner]                                # an automatic one: its coils and capacitors are in its data sheet
name = "tuner"
form = "L"
capacitor_side = "either"
[tuner.inductors]
values = ["0.05 uH", "0.1 uH", "0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH", "3.2 uH", "6.4 uH"]
q = 100
[tuner.capacitors]
values = ["10 pF", "20 pF", "40 pF", "80 pF", "160 pF", "320 pF", "640 pF", "1280 pF"]
q = 1000

[[arrangement]]
name = "tuner at the whip"
kind = "tuner"
cable_before = "lead"

[[arrangement]]
name = "coil, set once a band"
kind = "base coil"
cable_before = "lead"

[[arrangement]]
name = "coil with a tap to move"
kind = "base coil"
cable_before = "lead"
trim = "tap"

#~ [coil.loading]                      # a coil that you wind yourself: its L and Q are computed
#~ former = "50 mm"                    # its outside
#~ wire = "1 mm"
#~ pitch = "2 mm"                      # from turn to turn
#~ turns = 40                          # left out: as many as are needed
#~ [[arrangement]]                     # stile-coil --station my.toml draws what to wind
#~ name = "switched coil"
#~ kind = "switched coil"
#~ cable_before = "lead"
#~ coil = "loading"
#~ trim = "tap"
#~ [[arrangement]]
#~ name = "the same, fed at a tap"
#~ kind = "autotransformer"
#~ cable_before = "lead"
#~ coil = "loading"
#~ trim = "tap"
#~ [[arrangement]]
#~ name = "half a metre more of whip"
#~ kind = "base coil"
#~ cable_before = "lead"
#~ whip = { longer = "0.5 m" }

[uncertainty]                          # how far off the inputs may be; the answer shows what that leaves open
q = 0.15
ground = 0.4                           # or factors on the loss in the ground, such as [0.6, 2.5]
)toml";

}  // namespace stile::tools
