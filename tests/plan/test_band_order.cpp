// What a hand touches between bands, the order that asks least, and when setting anew pays.

#include <algorithm>
#include <numeric>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/band_order.hpp>
#include <stile/plan/far_end.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

network::Element inductor(double inductance_h) {
  return {"L", network::Place::series, network::Inductor{inductance_h, {}, 0.0}};
}

network::Element capacitor(double capacitance_f) {
  return {"C", network::Place::shunt, network::Capacitor{capacitance_f, {}}};
}

}  // namespace

TEST_CASE("what a hand and a tuner are taken to need where nothing is stated") {
  // Assumed: 10 s to move a tap, 15 s to turn a trimmer, 20 s to change a part, 5 s for a tuner.
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement a = test::arrangement("a", station::ArrangementKind::base_coil);
  const Setting one{{capacitor(100e-12), inductor(5e-6)}}, coil{{capacitor(100e-12), inductor(7e-6)}},
      other{{capacitor(120e-12), inductor(5e-6)}};
  CHECK(work_between(s, a, one, coil).seconds == 20.0);
  a.trim = station::Trim::tap_and_trimmer;
  CHECK(work_between(s, a, one, coil).seconds == 10.0);
  CHECK(work_between(s, a, one, other).seconds == 15.0);
  CHECK(work_between(s, test::with_tuner("relays"), one, other).seconds == 5.0);
  s.hands = {2.0, 3.0, 4.0};
  CHECK(work_between(s, a, one, coil).seconds == 2.0);
  CHECK(work_between(s, a, one, other).seconds == 3.0);
  a.trim = station::Trim::once;
  CHECK(work_between(s, a, one, other).seconds == 4.0);
}

TEST_CASE("an order of bands is that of the condition in which one is most of the time") {
  station::Station s = test::bare_station({20.0, -300.0});
  test::add_load(s, test::constant("wet", {30.0, -250.0}));
  test::add_load(s, test::constant("torn", {30.0, -900.0}));
  s.conditions[0].share = 0.3, s.conditions[1].share = 0.6, s.conditions[2].share = 0.9;
  s.conditions[2].role = station::Role::accident;  // however long it lasts
  s.bands.push_back(test::one_frequency(10.1e6));
  s.bands.back().name = "other";
  s.arrangements = {test::arrangement("a", station::ArrangementKind::l_network)};
  Plan plan = make_plan(s);
  const auto set = [&](std::size_t band, std::size_t condition, double inductance_h) {
    plan.bands[band].arrangements[0].conditions[condition].setting = {{inductor(inductance_h)}};
  };
  // Only in "wet" do the two bands have another coil.
  for (std::size_t c = 0; c < 3; ++c) set(0, c, 5e-6), set(1, c, c == 1 ? 7e-6 : 5e-6);
  CHECK(band_orders(s, plan).front().touches == 1);
  s.conditions[0].share = 0.7;
  CHECK(band_orders(s, plan).front().touches == 0);
}

TEST_CASE("work between two settings is what stands elsewhere") {
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement a = test::arrangement("a", station::ArrangementKind::base_coil);
  const Setting from{{capacitor(100e-12), inductor(5e-6)}}, to{{capacitor(100e-12), inductor(7e-6)}},
      bare{{inductor(7e-6)}};
  CHECK(work_between(s, a, from, from).touches() == 0);
  CHECK(work_between(s, a, from, to).parts == 1);
  CHECK(work_between(s, a, from, to).seconds == assumed_part_s);
  CHECK(work_between(s, a, from, bare).parts == 2);  // the capacitor gone, the coil another one
  CHECK(work_between(s, a, to, bare).parts == 1);
  a.trim = station::Trim::tap;
  CHECK(work_between(s, a, from, to).taps == 1);
  CHECK(work_between(s, a, from, to).parts == 0);
  const Setting without{{capacitor(100e-12)}};  // its tap by-passes a coil in series
  CHECK(work_between(s, a, from, without).taps == 1);
  CHECK(work_between(s, a, without, from).parts == 0);
  a.parts.inductor_series = match::ESeries::e12;  // one from a series has no tap
  CHECK(work_between(s, a, from, to).parts == 1);
  CHECK(work_between(s, a, from, without).parts == 1);
  a.parts.inductor_series.reset();
  s.hands.tap_s = 7.0;
  CHECK(work_between(s, a, from, to).seconds == 7.0);
  const station::Arrangement coil = test::switched("coil", test::small_coil(24.0));
  Setting tap_12, tap_20;
  tap_12.tap_turns = 12.0, tap_20.tap_turns = 20.0, tap_20.trimmer_f = 5e-12;
  const HandWork both = work_between(s, coil, tap_12, tap_20);
  CHECK(both.taps == 1);
  CHECK(both.trimmers == 1);
  CHECK(both.seconds == 7.0 + assumed_trimmer_s);
  station::Arrangement by_hand = coil;  // what stands beside a switched coil is exchanged
  by_hand.trim = station::Trim::tap_and_trimmer;
  CHECK(work_between(s, by_hand, {{capacitor(100e-12)}}, {{capacitor(120e-12)}}).parts == 1);
  // Both clips of an autotransformer; its elements are its turns and nothing that is exchanged.
  Setting fed_2, fed_31;
  fed_2.elements = {capacitor(100e-12), inductor(5e-6)}, fed_31.elements = {inductor(7e-6)};
  fed_2.tap_turns = 11.0, fed_2.feed_turns = 2.0, fed_31.tap_turns = 20.0, fed_31.feed_turns = 31.0;
  CHECK(work_between(s, coil, fed_2, fed_31).taps == 2);
  CHECK(work_between(s, coil, fed_2, fed_31).parts == 0);
  CHECK(work_between(s, coil, fed_2, fed_31).seconds == 14.0);
  station::Arrangement tuner = test::with_tuner("relays");
  CHECK(work_between(s, tuner, from, to).touches() == 0);
  CHECK(work_between(s, tuner, from, to).seconds == assumed_tune_s);
  tuner.draw.tune_time_s = 3.0;
  CHECK(work_between(s, tuner, from, to).seconds == 3.0);
}

TEST_CASE("no order of the bands asks less than the one that is told") {
  station::Station s = test::bare_station({20.0, -300.0});
  const std::vector<double> frequencies{7.0e6, 14.0e6, 3.6e6, 10.1e6, 7.1e6};
  s.bands.clear();
  for (const double f : frequencies) {
    s.bands.push_back(test::one_frequency(f));
    s.bands.back().name = std::to_string(f);
  }
  // parts that are there again and again in another order: E3 steps make neighbours alike
  station::Arrangement a = test::arrangement("a", station::ArrangementKind::l_network);
  s.arrangements = {a, test::with_tuner("relays"), test::arrangement("nothing", station::ArrangementKind::straight)};
  Plan plan = make_plan(s);
  // settings that make the order matter: bands 0, 2 and 4 have the same coil, 1 and 3 the same capacitor
  const std::vector<std::pair<double, double>> parts{
      {5e-6, 100e-12}, {1e-6, 220e-12}, {5e-6, 220e-12}, {2e-6, 220e-12}, {5e-6, 100e-12}};
  for (std::size_t b = 0; b < 5; ++b)
    plan.bands[b].arrangements[0].conditions[0].setting = {{capacitor(parts[b].second), inductor(parts[b].first)}};
  const std::vector<BandOrder> all = band_orders(s, plan);
  REQUIRE(all.size() == 3);
  const auto asked_by = [&](const std::vector<std::size_t>& order) {  // touches, seconds
    std::pair<int, double> sum{0, 0.0};
    for (std::size_t k = 0; k + 1 < order.size(); ++k) {
      const HandWork step = work_between(s, a, plan.bands[order[k]].arrangements[0].conditions[0].setting,
                                         plan.bands[order[k + 1]].arrangements[0].conditions[0].setting);
      sum.first += step.touches();
      sum.second += step.seconds;
    }
    return sum;
  };
  std::vector<std::size_t> order(5);
  std::iota(order.begin(), order.end(), std::size_t{0});
  CHECK(std::pair(all[0].stated_order_touches, all[0].stated_order_seconds) == asked_by(order));
  std::pair<int, double> least = asked_by(order);
  do {
    least = std::min(least, asked_by(order));
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(all[0].least);
  CHECK(std::pair(all[0].touches, all[0].seconds) == least);
  CHECK(asked_by(all[0].order) == least);
  CHECK(all[0].touches < all[0].stated_order_touches);
  CHECK(all[0].order.front() == 0);  // of equal ones the first that starts early
  CHECK(std::is_permutation(order.begin(), order.end(), all[0].order.begin(), all[0].order.end()));
  CHECK(all[0].steps.size() == 4);
  CHECK(all[1].touches == 0);
  CHECK(all[1].seconds == 4.0 * assumed_tune_s);
  CHECK(all[2].seconds == 0.0);
  CHECK(all[2].order == order);  // next_permutation ends where it began
  CHECK_THROWS_AS(band_orders(s, Plan{}), DomainError);
}

TEST_CASE("the order with the fewest touches is told, though another is quicker, and of several the quickest") {
  station::Station s = test::bare_station({20.0, -300.0});
  s.bands.clear();
  for (const double f : {7.0e6, 14.0e6, 3.6e6, 10.1e6}) {
    s.bands.push_back(test::one_frequency(f));
    s.bands.back().name = std::to_string(f);
  }
  station::Arrangement a = test::arrangement("a", station::ArrangementKind::l_network);
  a.trim = station::Trim::tap;  // taps are moved, a capacitor is exchanged
  s.arrangements = {a};
  Plan plan = make_plan(s);
  const auto set = [&](std::size_t inductors) {  // bands 0 and 1 have one capacitor, 2 and 3 another; 0 and 2 one tap
    for (std::size_t b = 0; b < 4; ++b) {
      Setting& setting = plan.bands[b].arrangements[0].conditions[0].setting;
      setting.elements = {capacitor(b < 2 ? 100e-12 : 220e-12)};
      setting.elements.insert(setting.elements.end(), inductors, inductor(b % 2 == 0 ? 5e-6 : 1e-6));
    }
  };
  set(1);
  s.hands = {10.0, {}, 30.0};
  BandOrder told = band_orders(s, plan).front();
  CHECK(told.order == std::vector<std::size_t>{0, 1, 3, 2});
  CHECK(told.touches == 3);  // two taps and a part
  CHECK(told.seconds == 50.0);
  s.hands = {30.0, {}, 10.0};
  told = band_orders(s, plan).front();
  CHECK(told.order == std::vector<std::size_t>{0, 2, 3, 1});
  CHECK(told.touches == 3);  // two parts and a tap
  CHECK(told.seconds == 50.0);
  // Two taps a time, each moved in an instant, and a part that takes long: 0 1 3 2 would be 602 s with five touches.
  set(2);
  s.hands = {0.5, {}, 600.0};
  told = band_orders(s, plan).front();
  CHECK(told.order == std::vector<std::size_t>{0, 2, 3, 1});
  CHECK(told.touches == 4);
  CHECK(told.seconds == 1201.0);
  CHECK(told.stated_order_touches == 7);  // 0 1 2 3: in the middle both taps and the part
}

TEST_CASE("between conditions every part that is another one counts") {
  station::Station s = test::bare_station({20.0, -300.0});
  test::add_load(s, test::constant("wet", {30.0, -250.0}));
  s.arrangements = {test::arrangement("a", station::ArrangementKind::l_network)};
  Plan plan = make_plan(s);
  auto& conditions = plan.bands.front().arrangements.front().conditions;
  conditions[0].setting = {{capacitor(100e-12), inductor(5e-6)}};
  conditions[1].setting = {{capacitor(220e-12), inductor(7e-6)}};
  const BandOrder order = band_orders(s, plan).front();
  const HandWork work = order.between_conditions;
  REQUIRE(order.on_band.size() == 1);
  CHECK(order.on_band[0].parts == 2);
  CHECK(work.parts == 2);
  CHECK(work.seconds == 2.0 * assumed_part_s);
  conditions[1].role = station::Role::accident;  // nobody resets for one
  CHECK(band_orders(s, plan).front().between_conditions.touches() == 0);
}

TEST_CASE("conditions change as often as their shares and stays say") {
  station::Station s = test::bare_station(50.0);
  CHECK(condition_changes_per_h(s) == 0.0);  // its only condition
  s.conditions[0].share = 1.0, s.conditions[0].lasts_s = 60.0;
  CHECK(condition_changes_per_h(s) == 0.0);
  s.conditions = {{"a"}, {"b"}, {"rare"}};
  CHECK_FALSE(condition_changes_per_h(s));
  s.conditions[0].share = 0.2, s.conditions[0].lasts_s = 40.0;
  s.conditions[1].share = 0.6;
  CHECK_FALSE(condition_changes_per_h(s));
  s.conditions[1].lasts_s = 120.0;
  const double both = 3600.0 / 40.0 * 0.25 + 3600.0 / 120.0 * 0.75;
  CHECK(*condition_changes_per_h(s) == Approx(both).epsilon(1e-12));
  s.conditions[2].share = 0.0;  // never met: how long it would last does not matter
  CHECK(condition_changes_per_h(s).value() == Approx(both).epsilon(1e-12));
  s.conditions[1].share = 0.0;
  CHECK(condition_changes_per_h(s) == 0.0);
}

TEST_CASE("setting anew pays as long as it makes more contacts than what is left alone") {
  station::Station s = test::bare_station({20.0, -300.0});
  test::add_load(s, test::constant("wet", {30.0, -250.0}));
  s.conditions[0].share = 0.5, s.conditions[0].lasts_s = 60.0;
  s.conditions[1].share = 0.5, s.conditions[1].lasts_s = 60.0;
  station::Arrangement trimmed = test::arrangement("trimmed", station::ArrangementKind::base_coil), lossy = trimmed;
  trimmed.trim = station::Trim::tap_and_trimmer;
  lossy.name = "lossy", lossy.parts.stock.inductor_loss.q = 8.0;  // broad: its own resistance swamps the load
  s.transmitter.swr_limit = 2.2;
  s.arrangements = {trimmed, lossy};
  s.contacts = ContactMargin{6.0, 8.0};
  const Plan plan = make_plan(s);
  const auto& of = plan.bands.front().arrangements;
  REQUIRE(of[0].ok);
  REQUIRE(of[1].ok);
  const std::vector<ResetTrade> trades = reset_trades(s, plan);
  REQUIRE(trades.size() == 1);
  const ResetTrade& t = trades.front();
  CHECK(t.anew == 0);
  CHECK(t.broad == std::size_t{1});
  CHECK(t.gained_db == of[1].counted_db - of[0].counted_db);
  CHECK(t.gained_db > 0.0);
  CHECK(t.reset_s == assumed_tap_s + assumed_trimmer_s);
  CHECK(*t.resets_per_h == *of[0].resets_per_hour);
  CHECK(*t.time_share == Approx(std::min(1.0, *t.resets_per_h * t.reset_s / 3600.0)));
  // there both make as many contacts: time left times what does not fail
  const double made_anew = (1.0 - *t.pays_up_to_per_h * t.reset_s / 3600.0) * (1.0 - contacts_failed(0.0, *s.contacts));
  CHECK(made_anew == Approx(1.0 - contacts_failed(t.gained_db, *s.contacts)).epsilon(1e-12));
  s.contacts.reset();
  CHECK_FALSE(reset_trades(s, plan).front().pays_up_to_per_h);
  CHECK_THROWS_AS(reset_trades(s, Plan{}), DomainError);
}
