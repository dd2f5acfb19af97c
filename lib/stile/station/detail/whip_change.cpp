#include <stile/station/detail/whip_change.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/station/detail/antenna_table.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/whip_coil.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::station::detail {
namespace {

using namespace wire::detail;

std::string change_text(const WhipChange& change) {
  std::string text = "whip";
  if (change.longer_m != 0.0)
    text += fmt::format(" {} {}", print_quantity(std::abs(change.longer_m), Unit::metre),
                        change.longer_m > 0.0 ? "longer" : "shorter");
  if (change.coil)
    text +=
        fmt::format(" with the coil \"{}\" {} up", change.coil->name, print_quantity(change.distance_m, Unit::metre));
  return text;
}

/// @throws DomainError  what is wrong with the whip so changed
wire::Antenna changed_antenna(wire::Antenna antenna, const WhipChange& change,
                              const std::optional<wire::WireCoil>& coil) {
  const std::size_t fed = antenna.feed.wire;
  std::vector<wire::Vec3>& points = antenna.wires[fed].points;
  if (change.longer_m != 0.0) {
    const wire::Vec3 top = points.back(), below = points[points.size() - 2], piece = top - below;
    const double length_m = norm(piece) + change.longer_m;
    if (length_m <= joint_m)
      throw DomainError(fmt::format("the whip's last straight piece is {} long; legal: shorter by less",
                                    print_quantity(norm(piece), Unit::metre)));
    for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
      const std::vector<wire::Vec3>& other = antenna.wires[w].points;
      if (w != fed && std::any_of(other.begin(), other.end(), [&](wire::Vec3 p) { return same_place(p, top); }))
        throw DomainError(fmt::format("the wire \"{}\" is joined to the whip's top; legal: a whip whose top is free",
                                      antenna.wires[w].name));
    }
    points.back() = below + (length_m / norm(piece)) * piece;
  }
  if (coil) {
    antenna.coils.push_back(*coil);
    antenna.coils.back().wire = fed;
  }
  return antenna;
}

}  // namespace

std::optional<WhipChange> whip_change_from(const TomlTable& arrangement, const std::vector<SwitchedCoil>& coils,
                                           bool coils_known) {
  const auto table = arrangement.find_table("whip");
  if (!table) return {};
  table->only({"longer", "shorter", "coil", "distance"});
  const std::size_t before = table->faults();
  WhipChange change;
  if (table->has("longer") && table->has("shorter"))
    table->fault("shorter", "a whip is \"longer\" or \"shorter\", not both");
  change.longer_m = find_plausible(*table, "longer", plausible::whip_change)
                        .value_or(-find_plausible(*table, "shorter", plausible::whip_change).value_or(0.0));
  if (table->has("coil") != table->has("distance"))
    table->fault(table->has("coil") ? "coil" : "distance",
                 "a coil part-way up the whip needs \"coil\" and its \"distance\" from the feed");
  if (!table->has("coil")) {
    if (change.longer_m == 0.0 && !table->has("distance"))
      arrangement.fault("whip",
                        "\"whip\" changes nothing; legal: \"longer\", \"shorter\" or a \"coil\" at a \"distance\"");
    if (table->faults() != before) return {};  // what follows would be their consequence
    return change;
  }
  change.distance_m = find_plausible(*table, "distance", plausible::coil_distance).value_or(0.0);
  const std::string name = table->text("coil");
  std::vector<std::string> names;
  for (const SwitchedCoil& coil : coils) {
    if (coil.name == name) change.coil = coil;
    names.push_back(coil.name);
  }
  if (!change.coil) {
    if (coils_known)
      table->fault("coil", fmt::format("nothing is called \"{}\"; there {}", name,
                                       names.empty() ? "is none" : fmt::format("are: {}", fmt::join(names, ", "))));
    return {};
  }
  const SwitchedCoil& coil = *change.coil;
  if (coil.turns == 0.0)
    table->fault("coil",
                 fmt::format("the coil \"{}\" is part-way up the whip; legal: with its \"turns\" stated", name));
  if (!coil.taps.empty() || coil.trimmer_f > 0.0)
    table->fault("coil", fmt::format("the coil \"{}\" is part-way up the whip, where all its turns are in use; legal: "
                                     "without \"taps\" and \"trimmer\"",
                                     name));
  const network::Rating& r = coil.rating;
  const auto ignored = [&](bool stated, std::string_view key) {
    if (stated)
      table->fault("coil", fmt::format("the coil \"{}\" is part-way up the whip, where \"{}\" says nothing; legal: "
                                       "without it",
                                       name, key));
  };
  ignored(std::isfinite(r.voltage_v_peak) || std::isfinite(r.current_a_rms) || std::isfinite(r.dissipation_w),
          "rating");
  ignored(coil.unused.has_value(), "unused");
  ignored(coil.switch_ohm > 0.0, "switch_resistance");
  ignored(coil.lead_inductance_h > 0.0, "lead_inductance");
  ignored(coil.tap_step_turns != 1.0, "tap_step");
  ignored(!(coil.shunt_coil && coil.shunt_capacitor), "step");
  if (!coils_known || table->faults() != before) return {};
  return change;
}

void change_whips(const std::vector<TomlTable>& tables, std::vector<Arrangement>& arrangements,
                  std::vector<Antenna>& antennas) {
  struct Made {
    std::size_t of, antenna;
    std::string change;
  };
  std::vector<Made> all;
  for (std::size_t n = 0; n < arrangements.size(); ++n) {
    Arrangement& a = arrangements[n];
    if (!a.whip || tables[n].faulted("whip") || tables[n].faulted("antenna")) continue;
    tables[n].item([&] {
      const std::string change = change_text(*a.whip);
      const auto known =
          std::find_if(all.begin(), all.end(), [&](const Made& m) { return m.of == a.antenna && m.change == change; });
      if (known != all.end()) {
        a.antenna = known->antenna;
        return;
      }
      Antenna made = antennas.at(a.antenna);
      made.stated = false;
      made.name += (made.name.empty() ? "" : ", ") + change;
      const auto coil = at(tables[n], "whip", [&] {
        return a.whip->coil ? std::optional(whip_coil(*a.whip->coil, 0, a.whip->distance_m)) : std::nullopt;
      });
      const auto change_load = [&](AntennaLoad& load) {
        if (!load.wires)
          tables[n].fail("whip", fmt::format("another whip is solved anew, and the load \"{}\" is not stated as wires; "
                                             "legal: \"wires\" for every load of the antenna",
                                             load.load.name));
        StatedWires& wires = *load.wires;
        wires.where = tables[n].where("whip");
        wires.origin += ", " + change;
        load.load.origin = wires.origin;
        at(tables[n], "whip", [&] {
          wires.antenna = changed_antenna(std::move(wires.antenna), *a.whip, coil);
          wire::check_antenna(wires.antenna, wires.ground);
        });
      };
      for (AntennaLoad& load : made.loads) {
        change_load(load);
        for (AntennaLoad& end : load.ends) change_load(end);
      }
      all.push_back({a.antenna, antennas.size(), change});
      a.antenna = antennas.size();
      antennas.push_back(std::move(made));
    });
  }
}

}  // namespace stile::station::detail
