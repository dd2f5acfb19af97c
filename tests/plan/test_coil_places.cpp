// Touching the taps and the open end of a coil between transmitter and antenna.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <Eigen/Core>
#include <Eigen/LU>

#include <stile/base/constants.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

#include "plan/stations.hpp"

using namespace stile;
using namespace stile::plan;

namespace {

const std::string folder = std::string(STILE_TEST_DATA) + "/../../examples/moor";

station::Station coil_station(const std::string& coil, const std::string& arrangement) {
  return station::solve_loads(station::read_station(
      "[station]\nname = \"coil\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 MHz\"\nhigh "
      "= \"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[coil.loading]\nformer = \"60 mm\"\nwire = \"1 "
      "mm\"\npitch = \"2 mm\"\ncontact_resistance = \"50 mohm\"\nlead_inductance = \"80 nH\"\n" +
          coil + "[[arrangement]]\nname = \"it\"\ncoil = \"loading\"\n" + arrangement +
          "[[load]]\ncondition = \"on heather\"\nwires = \"whip.toml\"\nwires_condition = \"on heather\"\n"
          "[[load]]\ncondition = \"lifted\"\nwires = \"whip.toml\"\nwires_condition = \"lifted\"\n",
      "coil.toml", folder));
}

/// A wound coil as it is set, with what stands around it.
struct WoundCoil {
  coil::Winding winding;
  Setting setting;
  double contact_ohm = 0.0, lead_inductance_h = 0.0, capacitor_q = 1000.0;
  network::Chain after;  ///< from the coil's lead to the antenna's terminals
};

/// Second route: all of it solved at once as nodes and branches, with a transmitter of any impedance. Through a hand at
/// the turn, A rms, with this power into antenna and hand.
double solved_a_rms(const WoundCoil& c, const network::AdmittanceMatrix& y, double frequency_hz, double turn,
                    double hand_ohm, double power_w) {
  const double omega = two_pi * frequency_hz, all = coil::total_turns(c.winding), tap = *c.setting.tap_turns,
               used = std::max(tap, c.setting.feed_turns.value_or(0.0));
  std::vector<double> turns{tap, c.setting.feed_turns.value_or(tap), turn};
  std::sort(turns.begin(), turns.end());
  turns.erase(std::unique(turns.begin(), turns.end()), turns.end());
  std::vector<coil::WirePlace> places;
  for (const double t : turns) places.push_back({0, t});
  std::vector<coil::Strap> straps;
  if (c.setting.unused == coil::Unused::shorted && used < all) straps.push_back({{0, used}, {0, all}});
  const coil::CoilModel model = coil::coil_model(c.winding);
  const coil::SquareMatrix<cdouble> z =
      coil::place_impedance_ohm(model, coil::solve_turns(model, frequency_hz), places, coil::WirePlace{0, 0.0}, straps);
  // Nodes: the coil's start (ground of an autotransformer), its places, the antenna, the hand. Then currents of the
  // coil's pieces, and of the hand.
  const auto pieces = static_cast<Eigen::Index>(turns.size());
  const Eigen::Index antenna = pieces + 1, hand = pieces + 2, first_piece = pieces + 3, through = first_piece + pieces,
                     unknowns = through + 1;
  const auto node = [&](double t) { return std::find(turns.begin(), turns.end(), t) - turns.begin() + 1; };
  const auto between = [&](Eigen::Index i, Eigen::Index k) {  // of places, the start is the first
    return i < 0 || k < 0 ? cdouble{} : z(static_cast<std::size_t>(i), static_cast<std::size_t>(k));
  };
  Eigen::MatrixXcd a = Eigen::MatrixXcd::Zero(unknowns, unknowns);
  Eigen::VectorXcd b = Eigen::VectorXcd::Zero(unknowns);
  const auto admittance = [&](Eigen::Index from, Eigen::Index to, cdouble siemens) {
    a(from, from) += siemens, a(to, to) += siemens, a(from, to) -= siemens, a(to, from) -= siemens;
  };
  for (Eigen::Index p = 0; p < pieces; ++p) {
    a(p, first_piece + p) += 1.0, a(p + 1, first_piece + p) -= 1.0;
    a(first_piece + p, p) += 1.0, a(first_piece + p, p + 1) -= 1.0;
    for (Eigen::Index k = 0; k < pieces; ++k)
      a(first_piece + p, first_piece + k) -=
          between(p, k) - between(p - 1, k) - between(p, k - 1) + between(p - 1, k - 1);
  }
  const Eigen::Index fed = c.setting.feed_turns ? node(*c.setting.feed_turns) : 0, tapped = node(tap),
                     touched = node(turn);
  const cdouble source_ohm{35.0, -20.0};
  a(fed, fed) += 1.0 / source_ohm;
  b(fed) = 1.0 / source_ohm;
  const cdouble trimmer_siemens =
      cdouble{1.0 / c.capacitor_q, 1.0} * omega * c.setting.trimmer_f;  // of Q |X|/R in series, as far as it matters
  admittance(0, tapped, trimmer_siemens / (1.0 + 1.0 / (c.capacitor_q * c.capacitor_q)));
  const network::Chain lead =
      network::cascade(network::series_chain({c.contact_ohm, omega * c.lead_inductance_h}), c.after);
  a(tapped, tapped) += lead.d / lead.b, a(tapped, antenna) -= 1.0 / lead.b;
  a(antenna, tapped) -= 1.0 / lead.b, a(antenna, antenna) += lead.a / lead.b;
  a(antenna, antenna) += y.y11 - y.y21 - y.y12 + y.y22, a(antenna, hand) += y.y12 - y.y22;
  a(hand, antenna) += y.y21 - y.y22, a(hand, hand) += y.y22;
  a(touched, through) += 1.0, a(hand, through) -= 1.0;
  a(through, touched) += 1.0, a(through, hand) -= 1.0, a(through, through) -= hand_ohm;
  if (c.setting.feed_turns) {  // the start is ground itself
    a.row(0).setZero();
    a(0, 0) = 1.0;
    b(0) = 0.0;
  }
  const Eigen::VectorXcd x = a.partialPivLu().solve(b);
  const cdouble antenna_a = (x(tapped) - lead.a * x(antenna)) / lead.b;
  const double w = (x(antenna) * std::conj(antenna_a) + x(touched) * std::conj(x(through))).real();
  return std::abs(x(through)) * std::sqrt(power_w / w);
}

const safety::Contact* place_named(const safety::Contacts& contacts, const std::string& part) {
  for (const safety::Contact& k : contacts.places) {
    if (k.where.find(part) != std::string::npos) return &k;
  }
  return nullptr;
}

/// Compares every place of the coil with that of the whole circuit; how many there are.
int compared(const station::Station& station, const Plan& plan) {
  int count = 0;
  const station::Arrangement& arrangement = station.arrangements.front();
  for (std::size_t c = 0; c < 2; ++c) {
    const ConditionResult& result = plan.bands[0].arrangements[0].conditions[c];
    const safety::Contacts& contacts = plan.exposures.at(0).conditions.at(c).contacts;
    REQUIRE(contacts.hand_at_base);
    REQUIRE(plan.windings[0]);
    const Setting& set = result.setting;
    WoundCoil coil{
        *plan.windings[0], set, arrangement.coil.contact_ohm, arrangement.coil.lead_inductance_h, 1000.0, {}};
    if (arrangement.cable_after)
      coil.after = network::chain({"", network::Place::cascade, arrangement.cable_after->line, {}},
                                  result.evaluation.frequency_hz);
    const auto check = [&](const std::string& part, double turn) {
      const safety::Contact* found = place_named(contacts, part);
      INFO(result.condition << ", " << part << ", turn " << turn << ", trimmer " << set.trimmer_f);
      REQUIRE(found != nullptr);
      const auto a_rms = [&](double ohm) {
        return solved_a_rms(coil, contacts.hand_at_base->siemens, result.evaluation.frequency_hz, turn, ohm,
                            contacts.power_w);
      };
      CHECK(found->open_v_rms == Approx(1e8 * a_rms(1e8)).epsilon(1e-9));
      CHECK(found->short_a_rms == Approx(a_rms(0.0)).epsilon(1e-9));
      CHECK(found->contact_a_rms == Approx(a_rms(contacts.hand_ohm)).epsilon(1e-9));
      CHECK(contacts.hand_ohm * found->contact_a_rms * found->contact_a_rms < contacts.power_w);
      ++count;
    };
    check("the tap of \"loading\"", *set.tap_turns);
    if (set.feed_turns && *set.feed_turns != *set.tap_turns) check("the transmitter's tap", *set.feed_turns);
    const double all = coil::total_turns(coil.winding), used = std::max(*set.tap_turns, set.feed_turns.value_or(0.0));
    const bool open = set.unused == coil::Unused::open && used < all;
    CHECK((place_named(contacts, "the open end of \"loading\"") != nullptr) == open);
    if (open) check("the open end of \"loading\"", all);
  }
  return count;
}

}  // namespace

TEST_CASE("touching taps and open end of a coil in series: the whole circuit solved at once finds the same") {
  const std::string turns = "turns = 60\ntrimmer = \"8 pF\"\ntaps = [{ band = \"40 m\", turns = 14, unused = \"";
  const station::Station open = coil_station(turns + "open\" }]\n", "kind = \"switched coil\"\ntrim = \"trimmer\"\n");
  const Plan plan = make_plan(open);
  CHECK(plan.bands[0].arrangements[0].conditions[0].setting.trimmer_f > 0.0);
  CHECK(compared(open, plan) == 4);
  for (const safety::UseCondition& c : plan.exposures[0].conditions) {
    // Its end stands higher than the whip's foot, and so does what a touch lets through.
    const safety::Contact &foot = c.contacts.places.front(), &end = c.contacts.places.back();
    CHECK(foot.where.find("from the feed") != std::string::npos);
    CHECK(end.open_v_rms > 1.2 * foot.open_v_rms);
    CHECK(end.contact_a_rms > foot.contact_a_rms);
    const bool told = std::any_of(plan.exposures[0].body_rows.begin(), plan.exposures[0].body_rows.end(),
                                  [](const safety::BodyRow& r) { return r.where == "the open end of \"loading\""; });
    CHECK(told);
  }
  station::Station raised = open;  // the coil at the pack, the whip behind a cable
  raised.arrangements.front().cable_after = test::line("riser", "RG-58", 1.0);
  const Plan behind = make_plan(raised);
  CHECK(compared(raised, behind) == 4);
  const safety::Contacts& told = behind.exposures[0].conditions[0].contacts;
  CHECK(place_named(told, "the tap of")->open_v_rms != Approx(told.places.front().open_v_rms).epsilon(1e-3));
  const station::Station shorted =
      coil_station(turns + "shorted\" }]\n", "kind = \"switched coil\"\ntrim = \"trimmer\"\n");
  CHECK(compared(shorted, make_plan(shorted)) == 2);
}

TEST_CASE("touching taps and open end of an autotransformer: the whole circuit solved at once finds the same") {
  for (const char* unused : {"open", "shorted"}) {
    const station::Station station =
        coil_station(std::string("turns = 44\ntrimmer = \"10 pF\"\nunused = \"") + unused + "\"\n",
                     "kind = \"autotransformer\"\ntrim = \"each condition\"\n");
    CHECK(compared(station, make_plan(station)) == (std::string(unused) == "open" ? 6 : 4));
  }
}

TEST_CASE("touching a coil of stated values: at its end towards the antenna it is the whip's foot") {
  const Plan plan = make_plan(station::solve_loads(station::read_station(
      "[station]\nname = \"coil\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 MHz\"\nhigh "
      "= \"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[[arrangement]]\nname = \"it\"\nkind = \"base "
      "coil\"\n[[load]]\ncondition = \"on heather\"\nwires = \"whip.toml\"\nwires_condition = \"on heather\"\n",
      "stated.toml", folder)));
  const safety::Contacts& contacts = plan.exposures.at(0).conditions.at(0).contacts;
  const safety::Contact* end = place_named(contacts, "the coil's end towards the antenna");
  REQUIRE(end != nullptr);
  CHECK(end->open_v_rms == Approx(contacts.places.front().open_v_rms).epsilon(1e-12));
  CHECK(end->contact_a_rms == Approx(contacts.places.front().contact_a_rms).epsilon(1e-12));
}
