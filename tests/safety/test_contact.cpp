// Touching a coil between transmitter and antenna.
#include <catch2/catch.hpp>

#include <cmath>
#include <map>
#include <string>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/safety/contact.hpp>
#include <stile/safety/detail/toucher.hpp>

#include "network/circuit_simulator.hpp"
#include "safety/carried.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;
using wire::WhipCondition;

namespace {

constexpr double frequency_hz = 7.1e6, omega = two_pi * frequency_hz, open_ohm = 1e8, power_w = 5.0;

ExposureCase untouched(const wire::SolveOptions& solve) {
  return solved(carried_case(WhipCondition::trailing_usual, false), frequency_hz, power_w, solve);
}

/// An impedance between two nodes as a resistor and a coil or capacitor.
std::string drawn(const std::string& name, const std::string& a, const std::string& b, cdouble z_ohm) {
  const std::string middle = name + "_", resistor = fmt::format("R{} {} {} {:.17g}\n", name, a, middle, z_ohm.real());
  return resistor + (z_ohm.imag() > 0.0
                         ? fmt::format("L{} {} {} {:.17g}\n", name, middle, b, z_ohm.imag() / omega)
                         : fmt::format("C{} {} {} {:.17g}\n", name, middle, b, -1.0 / (omega * z_ohm.imag())));
}

/// Two coils of one winding, from the transmitter on.
struct Halves {
  double first_h, second_h, mutual_h, first_ohm, second_ohm;
};

/// Through a hand at `touched`, A rms, as a circuit simulator has it: transmitter, coil from s over the middle m to the
/// end e, antenna at `hot`, whose three terminals are a triangle of impedances.
double simulated_a_rms(const network::AdmittanceMatrix& y, const Halves& coil, const std::string& hot,
                       const std::string& touched, double hand_ohm) {
  std::string text = "Vs x 0 dc 0 ac 1\nRs x s 50\n";
  text += fmt::format("R1 s s1 {:.17g}\nL1 s1 m {:.17g}\nR2 m m2 {:.17g}\nL2 m2 e {:.17g}\nK1 L1 L2 {:.17g}\n",
                      coil.first_ohm, coil.first_h, coil.second_ohm, coil.second_h,
                      coil.mutual_h / std::sqrt(coil.first_h * coil.second_h));
  text += fmt::format("Va {} a 0\n", hot);
  // The simulator would make a milliohm of a resistor of 0.
  text += hand_ohm > 0.0 ? fmt::format("Vh {} g 0\nRh g h {:.17g}\n", touched, hand_ohm)
                         : fmt::format("Vh {} h 0\n", touched);
  text += drawn("ground", "a", "0", 1.0 / (y.y11 - y.y21)) + drawn("hand", "h", "0", 1.0 / y.y21) +
          drawn("between", "a", "h", 1.0 / (y.y22 - y.y12));
  const std::map<std::string, cdouble> found = network::test::simulated(text, {frequency_hz}).front();
  const cdouble antenna_a = found.at("i(va)"), hand_a = found.at("i(vh)");
  const double for_1v_w =
      (found.at("v(" + hot + ")") * std::conj(antenna_a) + found.at("v(" + touched + ")") * std::conj(hand_a)).real();
  return std::abs(hand_a) * std::sqrt(power_w / for_1v_w);
}

}  // namespace

TEST_CASE("touching a coil: a general circuit simulator finds the same voltage and currents") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const Contacts c = contacts(untouched(solve), 300.0, options);
  REQUIRE(c.hand_at_base);
  const network::AdmittanceMatrix& y = c.hand_at_base->siemens;
  const Halves coil{11e-6, 7e-6, 4e-6, 2.0, 1.5};
  const cdouble j{0.0, 1.0}, second_ohm = coil.second_ohm + j * omega * (coil.second_h + coil.mutual_h),
                             mutual_ohm = j * omega * coil.mutual_h;
  // Beyond the antenna's tap, in turns left open; and before it, half-way along the turns in use.
  const CoilPlace end{"end", 1.0, -mutual_ohm, -second_ohm}, middle{"middle", 1.0, second_ohm, mutual_ohm};
  const Contacts touched = with_coil_places(c, std::vector<CoilPlace>{end, middle});
  REQUIRE(touched.places.size() == c.places.size() + 2);
  const auto check = [&](const Contact& found, const std::string& hot, const std::string& at) {
    INFO(found.where);
    CHECK(found.open_v_rms == Approx(open_ohm * simulated_a_rms(y, coil, hot, at, open_ohm)).epsilon(1e-9));
    CHECK(found.short_a_rms == Approx(simulated_a_rms(y, coil, hot, at, 0.0)).epsilon(1e-9));
    CHECK(found.contact_a_rms == Approx(simulated_a_rms(y, coil, hot, at, 300.0)).epsilon(1e-9));
  };
  check(touched.places[c.places.size()], "m", "e");
  check(touched.places.back(), "e", "m");
  // Open turns stand higher than the whip, turns before the tap lower.
  CHECK(touched.places[c.places.size()].open_v_rms > 1.05 * c.places[0].open_v_rms);
  CHECK(touched.places.back().open_v_rms < 0.95 * c.places[0].open_v_rms);
}

TEST_CASE(
    "touching a coil: at the hot terminal it is the whip's foot, behind an impedance the antenna solved with it") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const ExposureCase one = untouched(solve);
  const Contacts c = contacts(one, 300.0, options);
  // Turns beyond the antenna's that share no flux with those in use: a coil of 60 ohm/MHz in the arm.
  constexpr double more_h = 9.5e-6;
  const Contacts touched =
      with_coil_places(c, std::vector<CoilPlace>{{"terminal"}, {"turns", 1.0, {}, cdouble{0.0, -omega * more_h}}});
  const Contact &foot = c.places.front(), &terminal = touched.places[c.places.size()], &turns = touched.places.back();
  CHECK(terminal.where == "terminal");
  CHECK(terminal.point_m.z_m == foot.point_m.z_m);
  CHECK(terminal.open_v_rms == foot.open_v_rms);
  CHECK(terminal.short_a_rms == foot.short_a_rms);
  CHECK(terminal.contact_a_rms == foot.contact_a_rms);
  detail::Toucher who = detail::with_toucher(one.wires, foot.point_m);
  const wire::Wire& whip = one.wires.antenna.wires[one.wires.antenna.feed.wire];
  std::vector<wire::Vec3>& points = who.wires.antenna.wires[one.wires.antenna.feed.wire].points;
  points.insert(points.begin() + 1, foot.point_m);
  REQUIRE(whip.points.size() + 1 == points.size());
  wire::WireLump& contact = who.wires.antenna.lumps[who.contact];
  const auto through = [&](double ohm, double henry) {
    contact.resistance_ohm = ohm;
    contact.inductance_h = henry;
    const wire::AntennaSolution s = wire::solve_antenna(who.wires.antenna, who.wires.ground, frequency_hz, solve);
    return wire::lump_current_a_rms(s, who.contact, power_w);
  };
  CHECK(foot.contact_a_rms == Approx(through(300.0, 0.0)).epsilon(1e-9));
  CHECK(foot.short_a_rms == Approx(through(0.0, 0.0)).epsilon(1e-9));
  CHECK(turns.contact_a_rms == Approx(through(300.0, more_h)).epsilon(1e-9));
  CHECK(turns.short_a_rms == Approx(through(0.0, more_h)).epsilon(1e-9));
  CHECK(turns.open_v_rms == Approx(foot.open_v_rms).epsilon(1e-3));  // nothing flows
  CHECK(turns.contact_a_rms != Approx(foot.contact_a_rms).epsilon(1e-3));
}

TEST_CASE(
    "touching a coil: it goes with the root of power, and nobody touches it where nobody reaches the whip's foot") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const std::vector<CoilPlace> places{{"tap", {1.1, -0.2}, {3.0, 150.0}, {-2.0, -400.0}}};
  const ExposureCase one = untouched(solve);
  const Contacts c = contacts(one, 300.0, options);
  const Contact first = at_power(with_coil_places(c, places), 20.0).places.back(),
                then = with_coil_places(at_power(c, 20.0), places).places.back();
  CHECK(first.open_v_rms == Approx(then.open_v_rms).epsilon(1e-12));
  CHECK(first.contact_a_rms == Approx(then.contact_a_rms).epsilon(1e-12));
  CHECK(first.contact_a_rms == Approx(2.0 * with_coil_places(c, places).places.back().contact_a_rms).epsilon(1e-12));
  // No more than all the power goes through the hand.
  CHECK(300.0 * first.contact_a_rms * first.contact_a_rms < 20.0);
  // A coil in the whip from its foot on: the hand would be beyond it.
  ExposureCase coiled = one;
  coiled.wires.antenna.coils.push_back({0, 0.1, 0.06, 5e-6, 200.0, 0.0});
  coiled.solution = wire::solve_antenna(coiled.wires.antenna, coiled.wires.ground, frequency_hz, solve);
  const Contacts beyond = contacts(coiled, 300.0, options), left = with_coil_places(beyond, places);
  CHECK(!beyond.hand_at_base);
  CHECK(left.places.size() == beyond.places.size());
  REQUIRE(left.left_out.size() == beyond.left_out.size() + 1);
  CHECK(left.left_out.back() == "tap: no hand can be at the foot of the whip");
}
