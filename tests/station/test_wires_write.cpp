#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/station/wires_write.hpp>

using namespace stile;
using namespace stile::station;

namespace {

const std::string drawn = R"(
# invented
ground = "average"
[[wire]]
name = "whip"
points = [[0, 0, 1.0], [0, 0, 4.0]]
radius = "2 mm"
metal = "stainless steel"
[[wire]]
name = "counterpoise"
points = [[0, 0, 1.0], [1.0, 0, 0.05], [6.5, 0, 0.05]]
radius = "1 mm"
metal = "copper"
[feed]
gap = "10 mm"
)";

}  // namespace

TEST_CASE("a calibrated wires file reads back to the last bit, and the rest is as it was") {
  const wire::Ground soil = wire::lossy_ground(21.7182818284590452, 8.8541878128e-3);
  const std::string text = with_calibration(drawn, "a.toml", {{"as drawn", soil}}, 7.5312345678901e-12, {"calibrated"});
  CHECK(text.find("# calibrated\n") == 0);
  const auto before = read_wires(drawn, "a.toml"), after = read_wires(text, "b.toml");
  REQUIRE(after.size() == 1);
  CHECK(after[0].ground.relative_permittivity == soil.relative_permittivity);
  CHECK(after[0].ground.conductivity_s_m == soil.conductivity_s_m);
  CHECK(after[0].antenna.feed.base_capacitance_f == 7.5312345678901e-12);
  REQUIRE(after[0].antenna.wires.size() == 2);
  for (std::size_t w = 0; w < 2; ++w) {
    CHECK(after[0].antenna.wires[w].radius_m == before[0].antenna.wires[w].radius_m);
    CHECK(after[0].antenna.wires[w].conductivity_s_m == before[0].antenna.wires[w].conductivity_s_m);
    CHECK(after[0].antenna.wires[w].points.back().x_m == before[0].antenna.wires[w].points.back().x_m);
  }
}

TEST_CASE("each condition gets its own soil") {
  const std::string two =
      drawn +
      "[[condition]]\nname = \"dry\"\nkind = \"lifted\"\n[[condition]]\nname = \"trailing\"\nkind = \"trailing\"\n";
  const std::string text = with_calibration(two, "a.toml", {{"trailing", wire::lossy_ground(30.0, 1e-2)}}, {});
  const auto after = read_wires(text, "b.toml"), before = read_wires(two, "a.toml");
  REQUIRE(after.size() == 2);
  CHECK(after[0].ground.relative_permittivity == before[0].ground.relative_permittivity);
  CHECK(after[1].ground.relative_permittivity == 30.0);
  CHECK_THROWS_AS(with_calibration(two, "a.toml", {{"wet", wire::lossy_ground(30.0, 1e-2)}}, {}), ParseError);
  CHECK_THROWS_AS(with_calibration(drawn, "a.toml", {{"wet", wire::lossy_ground(30.0, 1e-2)}}, {}), ParseError);
  CHECK_THROWS_AS(with_calibration(drawn, "a.toml", {{"as drawn", wire::free_space()}}, {}), DomainError);
  CHECK_THROWS_AS(with_calibration("a = [", "a.toml", {}, {}), ParseError);
}

TEST_CASE("a counterpoise is stretched level from the feed, the fed wire is not") {
  const auto before = read_wires(drawn, "a.toml"),
             after = read_wires(with_calibration(drawn, "a.toml", {}, {}, {}, 0.9), "b.toml");
  const auto& wire = after[0].antenna.wires[1].points;
  REQUIRE(wire.size() == 3);
  CHECK(wire[0].x_m == 0.0);
  CHECK(wire[1].x_m == Approx(0.9).epsilon(1e-12));
  CHECK(wire[2].x_m == Approx(5.85).epsilon(1e-12));
  CHECK(wire[2].z_m == 0.05);
  CHECK(after[0].antenna.wires[0].points[1].z_m == before[0].antenna.wires[0].points[1].z_m);
  CHECK_THROWS_AS(with_calibration(drawn, "a.toml", {}, {}, {}, 0.0), DomainError);
  // From where the feed stands: at (2, 3) the wire of 6.5 m ends half as far from it at 2 + 3.25 m.
  std::string aside = drawn;
  for (const auto& [what, by] :
       {std::pair{"[[0, 0, 1.0], [0, 0, 4.0]]", "[[2, 3, 1.0], [2, 3, 4.0]]"},
        {"[[0, 0, 1.0], [1.0, 0, 0.05], [6.5, 0, 0.05]]", "[[2, 3, 1.0], [3.0, 3, 0.05], [8.5, 4, 0.05]]"}})
    aside.replace(aside.find(what), std::string(what).size(), by);
  const auto half = read_wires(with_calibration(aside, "a.toml", {}, {}, {}, 0.5), "b.toml")[0].antenna.wires[1].points;
  const auto from = read_wires(aside, "a.toml")[0].antenna.wires[1].points[0];
  CHECK(half[0].x_m == from.x_m);
  CHECK(half[2].x_m - from.x_m == Approx(3.25).epsilon(1e-12));
  CHECK(half[2].y_m - from.y_m == Approx(0.5).epsilon(1e-12));
  CHECK(half[2].z_m == 0.05);
}
