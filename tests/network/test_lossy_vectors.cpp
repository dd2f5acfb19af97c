// HF networks with lossy parts against nodal equations at 40 digits: input impedance, losses, stress of every part.

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include <stile/base/table.hpp>
#include <stile/network/ladder.hpp>

#include "network/parts.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {

Table table(const std::string& name) {
  const std::string file = std::string(STILE_TEST_DATA) + "/network/" + name;
  return read_table(read_text_file(file), file);
}

/// "1-0 C=776e-12 Q=1000; 1-2 L=485e-9 Q=200": node pair, kind and value, Q; node 0 is common.
Ladder read_ladder(const std::string& text) {
  Ladder ladder;
  std::istringstream parts(text);
  for (std::string part; std::getline(parts, part, ';');) {
    std::istringstream words(part);
    std::string nodes, value, q;
    words >> nodes >> value >> q;
    REQUIRE((value.substr(0, 2) == "L=" || value.substr(0, 2) == "C="));
    REQUIRE(q.substr(0, 2) == "Q=");
    const Loss loss{.q = std::stod(q.substr(2))};
    const double si = std::stod(value.substr(2));
    const Component component = value[0] == 'L' ? Component{Inductor{si, loss}} : Component{Capacitor{si, loss}};
    ladder.elements.push_back(nodes.back() == '0' ? shunt(component) : series(component));
    ladder.elements.back().label = nodes + " " + value.substr(0, 1);
  }
  return ladder;
}

/// Within 1e-9 of the value; a value that is zero but for rounding, within 1e-12 of `whole`.
void check_close(const char* what, double value, double expected, double whole) {
  INFO(what << " " << value << ", expected " << expected);
  CHECK(std::abs(value - expected) <= std::max(1e-9 * std::abs(expected), 1e-12 * whole));
}

}  // namespace

TEST_CASE("networks with lossy parts agree with nodal equations") {
  const Table vectors = table("lossy_vectors.csv"), stress = table("lossy_component_stress.csv");
  std::size_t stress_row = 0;
  for (std::size_t row = 0; row < vectors.rows.size(); ++row) {
    const std::string& id = vectors.text(row, "id");
    INFO(id);
    const auto number = [&](const char* column) { return vectors.number(row, column); };
    const Ladder ladder = read_ladder(vectors.text(row, "elements"));
    REQUIRE(ladder.elements.size() >= 2);
    const double power_w = 7.0;  // not 1, so that the scale is tested
    const Evaluation e =
        evaluate(ladder, {number("zs_ohm"), power_w}, number("f_hz"), {number("zl_re"), number("zl_im")});
    const cdouble z{number("zin_re"), number("zin_im")};
    CHECK(std::abs(e.z_input_ohm - z) <= 1e-12 * std::abs(z));
    check_close("reflection", std::abs(e.reflection), number("gamma_abs"), 1.0);
    check_close("efficiency", e.power.delivered_w / e.power.accepted_w, number("efficiency"), 0.0);
    check_close("dissipation", e.loss.dissipation_db, number("loss_db"), 0.0);
    check_close("transducer loss", e.loss.transducer_db, number("transducer_loss_db"), 0.0);
    for (std::size_t n = 0; n < ladder.elements.size(); ++n, ++stress_row) {
      REQUIRE(stress_row < stress.rows.size());
      REQUIRE(stress.text(stress_row, "id") == id);
      REQUIRE(stress.text(stress_row, "element") == ladder.elements[n].label);
      const Stress& s = e.elements[n];
      INFO(ladder.elements[n].label);
      check_close("voltage", s.voltage_v_peak / std::sqrt(2.0 * power_w), stress.number(stress_row, "v_rms_per_sqrtW"),
                  0.0);
      check_close("current", s.current_a_rms / std::sqrt(power_w), stress.number(stress_row, "i_rms_per_sqrtW"), 0.0);
      check_close("loss", s.dissipation_w / power_w, stress.number(stress_row, "p_loss_W_per_W"), 0.0);
    }
  }
  CHECK(vectors.rows.size() == 10);
  CHECK(stress_row == stress.rows.size());
}
