#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/maps.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

Tuner rated(test::RandomTuners& random, TunerForm form) {
  Tuner t = random.tuner(form);
  t.inductors.open_contact_f = t.load_inductors.open_contact_f = 0.0;
  t.inductor_rating = {500.0, 3.0, 5.0};
  t.capacitor_rating = {300.0, 5.0, 2.0};
  return t;
}

}  // namespace

TEST_CASE("SWR loss and stress at the mapped points equal the ladder's") {
  test::RandomTuners random(51);
  for (const TunerForm form : test::forms) {
    for (const MapPlane plane : {MapPlane::reflection, MapPlane::impedance}) {
      const Tuner t = rated(random, form);
      const TunerTable table = tabulate(t, 7.1e6);
      MapGrid grid;
      grid.columns = grid.rows = 21;
      if (plane == MapPlane::impedance) grid = {plane, -10.0, 400.0, -500.0, 500.0, 17, 23, 50.0};
      const RangeMap map = map_range(build_tree(t, table, 50.0), grid, 3.0, 25.0);
      REQUIRE(map.cells.size() == grid.columns * grid.rows);
      int loads = 0, found = 0;
      for (std::size_t n = 0; n < map.cells.size(); ++n) {
        const MapCell& cell = map.cells[n];
        const auto z = cell_load(grid, n % grid.columns, n / grid.columns);
        CHECK((cell.status == TunerStatus::not_run) == !z.has_value());
        if (!z) continue;
        ++loads;
        const std::vector<network::Element> elements = tuner_elements(t, tuner_state(t, cell.index));
        const network::Evaluation e = network::evaluate(network::Ladder{elements}, {50.0, 25.0}, 7.1e6, *z);
        double worst = 0.0;
        for (std::size_t k = 0; k < elements.size(); ++k) {
          worst = std::max({worst, e.elements[k].voltage_v_peak / elements[k].rating.voltage_v_peak,
                            e.elements[k].current_a_rms / elements[k].rating.current_a_rms,
                            e.elements[k].dissipation_w / elements[k].rating.dissipation_w});
        }
        INFO("form " << static_cast<int>(form) << " load " << *z);
        CHECK(cell.z_load_ohm == *z);
        CHECK(std::abs(cell.swr - e.swr) <= 1e-9 * e.swr);
        CHECK(std::abs(cell.dissipation_db - e.loss.dissipation_db) <= 1e-9);
        CHECK(std::abs(cell.stress.factor - worst) <= 1e-9 * worst);
        CHECK((cell.status == TunerStatus::found) == (cell.swr <= 3.0));
        const TunerChoice all = choose_state(t, table, 50.0, *z, 3.0);
        CHECK(cell.index == (all.least_loss.status == TunerStatus::found ? all.least_loss : all.least_swr).state.index);
        if (cell.status == TunerStatus::found) ++found;
      }
      CHECK(loads > 200);
      CHECK(found > 0);
    }
  }
}

TEST_CASE("a map does not depend on the number of threads") {
  test::RandomTuners random(52);
  const Tuner t = rated(random, TunerForm::pi_network);
  const TunerTree tree = build_tree(t, tabulate(t, 14.2e6), 50.0);
  const RangeMap one = map_range(tree, {}, 2.0, 10.0, Goal::most_delivered, 1),
                 four = map_range(tree, {}, 2.0, 10.0, Goal::most_delivered, 4);
  int different = 0;
  for (std::size_t n = 0; n < one.cells.size(); ++n) {
    if (one.cells[n].index != four.cells[n].index || one.cells[n].swr != four.cells[n].swr ||
        one.cells[n].stress.factor != four.cells[n].stress.factor)
      ++different;
  }
  CHECK(different == 0);
  CHECK(one.cells.size() == 201 * 201);
}

TEST_CASE("a sweep lists the holes of the range") {
  // By-pass only: 50 ohm is in the range, 500 ohm is not.
  Tuner t;
  t.capacitors.values_f = {1e-21};
  const double frequencies[] = {1e6, 2e6, 3e6, 4e6, 5e6, 6e6};
  const BandRange band = band_range(
      t, {50.0, 5.0}, frequencies,
      [](double f) { return f == 2e6 || f == 3e6 || f == 6e6 ? cdouble{50.0 * f / 1e6} : cdouble{60.0}; }, 1.5);
  REQUIRE(band.cells.size() == 6);
  CHECK(band.cells[0].status == TunerStatus::found);
  CHECK(band.cells[1].status == TunerStatus::out_of_reach);
  REQUIRE(band.holes.size() == 2);
  CHECK(band.holes[0].low_hz == 2e6);
  CHECK(band.holes[0].high_hz == 3e6);
  CHECK(std::abs(band.holes[0].worst_swr - 3.0) <= 1e-9);
  CHECK(band.holes[1].low_hz == 6e6);
  CHECK(band.holes[1].high_hz == 6e6);
}

TEST_CASE("a hole's SWR is its worst and a sweep has the states of its goal") {
  // By-pass only: 200, 150 and 100 ohm are SWR 4, 3 and 2.
  Tuner t;
  t.capacitors.values_f = {1e-21};
  const double falling[] = {1e6, 2e6, 3e6};
  const BandRange hole = band_range(
      t, {50.0, 5.0}, falling, [](double f) { return cdouble{250.0 - 50.0 * f / 1e6}; }, 1.5);
  REQUIRE(hole.holes.size() == 1);
  CHECK(std::abs(hole.holes[0].worst_swr - 4.0) <= 1e-9);
  // A load for which the three goals have three states.
  test::RandomTuners random(54);
  int different = 0;
  for (int n = 0; n < 40; ++n) {
    const Tuner tuner = rated(random, TunerForm::pi_network);
    const cdouble z = random.load();
    const double f[] = {random.frequency_hz()};
    const TunerTable table = tabulate(tuner, f[0]);
    const TunerChoice choice = choose_state(tuner, table, 50.0, z, 4.0);
    if (choice.least_loss.status != TunerStatus::found) continue;
    const std::pair<Goal, const TunerSetting*> goals[] = {{Goal::least_swr, &choice.least_swr},
                                                          {Goal::least_loss, &choice.least_loss},
                                                          {Goal::most_delivered, &choice.most_delivered}};
    for (const auto& [goal, setting] : goals) {
      const MapCell cell = band_range(
                               tuner, {50.0, 25.0}, f, [&](double) { return z; }, 4.0, goal)
                               .cells[0];
      CHECK(cell.index == setting->state.index);
      CHECK(cell.dissipation_db == Approx(setting->dissipation_db).epsilon(1e-12));
      CHECK(cell.stress.factor ==
            Approx(worst_stress(tuner, table, setting->state, {50.0, 25.0}, z).factor).epsilon(1e-12));
    }
    different += choice.least_swr.state.index != choice.least_loss.state.index &&
                 choice.least_loss.state.index != choice.most_delivered.state.index;
  }
  CHECK(different > 0);
}

TEST_CASE("grids outside their range are refused") {
  test::RandomTuners random(53);
  const Tuner t = rated(random, TunerForm::l);
  const TunerTree tree = build_tree(t, tabulate(t, 14.2e6), 50.0);
  MapGrid grid;
  grid.columns = 0;
  CHECK_THROWS_MATCHES(map_range(tree, grid, 2.0, 10.0), DomainError,
                       Catch::Matchers::Message("a map has 0 columns and 201 rows and must have 1 to 2^24 cells"));
  grid.columns = grid.rows = 5000;
  CHECK_THROWS_AS(map_range(tree, grid, 2.0, 10.0), DomainError);
  grid = {};
  grid.x_high = -2.0;
  CHECK_THROWS_AS(map_range(tree, grid, 2.0, 10.0), DomainError);
  CHECK_THROWS_AS(map_range(tree, {}, 2.0, 0.0), DomainError);
  CHECK_THROWS_AS(map_range(tree, {}, 0.5, 10.0), DomainError);
  CHECK_FALSE(cell_load({}, 0, 0).has_value());
  CHECK(cell_load({}, 100, 100).has_value());
}

TEST_CASE("a map of R and X lies about its loads with R logarithmic, and one of reflections holds every load") {
  const cdouble far[] = {{26.0, -975.0}, {600.0, 20.0}, {6.0, -2400.0}, {0.0, 9000.0}};
  const MapGrid rx = impedance_grid(far, 50.0);
  CHECK(rx.plane == MapPlane::impedance);
  CHECK(rx.logarithmic_r);
  CHECK(rx.x_low == 2.0);
  CHECK(rx.x_high == 1800.0);
  CHECK(rx.y_low == -2400.0 - 605.0);
  CHECK(rx.y_high == 20.0 + 605.0);
  for (const cdouble z : {far[0], far[1], far[2]}) CHECK(on_grid(rx, z));
  CHECK_FALSE(on_grid(rx, far[3]));
  const MapGrid one = impedance_grid(std::span(far, 1), 50.0);
  CHECK(one.x_low == 26.0 / 3.0);
  CHECK(one.x_high == 150.0);  // the transmitter's resistance is on it
  const MapGrid none = impedance_grid({}, 50.0);
  CHECK(none.x_low == 1.0);
  CHECK(none.x_high == 1000.0);
  CHECK(none.y_low == -1000.0);
  CHECK(none.y_high == 1000.0);
  // Columns in even ratios: the middle of an odd number is the geometric mean.
  MapGrid three = none;
  three.columns = three.rows = 3;
  CHECK(std::abs(cell_point(three, 1, 1) - std::sqrt(1000.0)) <= 1e-12);
  CHECK(std::abs(cell_point(three, 0, 1).real() * 10.0 - cell_point(three, 1, 1).real()) <= 1e-12);
  MapGrid wrong = none;
  wrong.x_low = 0.0;
  CHECK_THROWS_AS(cell_point(wrong, 0, 0), DomainError);
  wrong = {};
  wrong.logarithmic_r = true;
  CHECK_THROWS_AS(cell_point(wrong, 0, 0), DomainError);
  CHECK_THROWS_AS(impedance_grid({}, 0.0), DomainError);
  MapGrid round;
  for (const cdouble z : {cdouble{0.0, 0.0}, cdouble{0.0, -1e6}, cdouble{1e9, 0.0}, cdouble{0.0, 50.0}, far[2]}) {
    CHECK(on_grid(round, z));
    CHECK(std::abs(cell_point(round, 0, 0) + cdouble{200.0 / 201.0, 200.0 / 201.0}) <= 1e-15);
  }
  CHECK_THROWS_AS(on_grid(rx, {-1.0, 0.0}), DomainError);
}

TEST_CASE("a map of reflections is for the transmitter, or for the size of loads that crowd at its rim") {
  const auto reference = [](const std::vector<cdouble>& loads) { return reflection_grid(loads, 50.0).reference_ohm; };
  CHECK(reference({}) == 50.0);
  CHECK(reference({{20.0, -30.0}}) == 50.0);
  CHECK(reference({{26.0, -975.0}}) == 1000.0);
  CHECK(reference({{54.0, -445.0}}) == 500.0);
  CHECK(reference({{13.8, -1058.0}, {26.3, -975.0}, {38.0, -843.0}, {1e9, 0.0}}) == 1000.0);  // no mean
  CHECK(reference({{26.0, -975.0}, {20.0, -30.0}}) == 50.0);                                  // no more than half
  CHECK(reference({{0.0, 0.0}}) == 50.0);
  CHECK(std::abs(reference({{0.0, -141.0}}) - 100.0) <= 1e-9);
  CHECK(std::abs(reference({{0.0, -142.0}}) - 200.0) <= 1e-9);
  // Loads that lie within 5 points of each other on a plane of 200 to 1 are three times as far apart or more.
  const auto apart = [](const MapGrid& grid) {
    return std::abs(point_of(grid, {13.8, -1058.0}) - point_of(grid, {26.3, -975.0}));
  };
  const std::vector<cdouble> whip{{13.8, -1058.0}, {26.3, -975.0}};
  CHECK(apart(reflection_grid(whip, 50.0)) > 3.0 * apart(MapGrid{}));
  CHECK_THROWS_AS(reflection_grid({}, 0.0), DomainError);
}
