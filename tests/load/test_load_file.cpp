#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/load/load_file.hpp>

using namespace stile;
using namespace stile::load;

namespace {

const std::string examples = STILE_TEST_DATA "/../../examples/loads/";
constexpr std::array<const char*, 6> names{"whip3m_lifted", "whip3m_heather", "whip3m_wetpeat",
                                           "wire5m_lifted", "wire5m_heather", "wire5m_wetpeat"};

void check_refused(const std::string& text, const std::string& file, std::size_t line, std::size_t column,
                   const std::string& words) {
  try {
    (void)(file.ends_with(".csv") ? load_from_csv_text(text, file) : load_from_touchstone_text(text, file));
    FAIL_CHECK("was read: " << text);
  } catch (const ParseError& error) {
    INFO(error.what());
    CHECK(error.where.file == file);
    CHECK(error.where.line == line);
    CHECK(error.where.column == column);
    CHECK(std::string(error.what()).find(words) != std::string::npos);
  }
}

const SampledLoad& samples_of(const Load& load) { return std::get<SampledLoad>(load.model); }

Load example_with_shares(const std::string& name) {
  const std::string table = examples + name + "_efficiency.csv";
  return attach_shares(load_from_file(examples + name + ".s1p"), read_table(read_text_file(table), table));
}

}  // namespace

TEST_CASE("S and Y become impedance") {
  const cdouble z{8.0, -900.0};
  const cdouble s = (z - 75.0) / (z + 75.0), y = 1.0 / z;
  std::ostringstream text_s, text_y;
  text_s.precision(17);
  text_y.precision(17);
  text_s << "# MHz S RI R 75\n3.6 " << s.real() << ' ' << s.imag() << '\n';
  text_y << "# MHz Y RI R 50\n3.6 " << y.real() * 50.0 << ' ' << y.imag() * 50.0 << '\n';
  const Load from_s = load_from_touchstone_text(text_s.str(), "a/whip.s1p"),
             from_y = load_from_touchstone_text(text_y.str(), "-");
  // |S| is 0.9985 here: one unit of the last place of S is 1e-13 of R.
  CHECK(std::abs(load_impedance(from_s, 3.6e6) - z) <= 1e-10);
  CHECK(std::abs(load_impedance(from_y, 3.6e6) - z) <= 1e-10);
  CHECK(from_s.name == "whip");
  CHECK(from_s.origin == "Touchstone 1.0 file a/whip.s1p, S parameters");
  CHECK(from_y.name == "standard input");
  CHECK(samples_of(from_s).measured_reflection.size() == 1);
  CHECK(samples_of(from_y).measured_reflection.empty());
}

TEST_CASE("impossible one ports are refused at their line") {
  check_refused("# MHz S RI\n1 0 0\n2 1.001 0\n", "a.s1p", 3, 3, "|S11| exceeds 1 by 0.001:");
  check_refused("# MHz S RI\n1 0 0\n2 1 0\n", "a.s1p", 3, 3, "open circuit");
  check_refused("# MHz Z RI\n1 0 0\n2 -1e-9 0\n", "a.s1p", 3, 3, "negative resistance");
  check_refused("# MHz Y RI\n1 0 0\n", "a.s1p", 2, 3, "open circuit");
  check_refused("# MHz Y RI\n1 -1 0\n", "a.s1p", 2, 3, "negative resistance");
  check_refused("# MHz S RI\n0 0 0\n", "a.s1p", 2, 1, "no impedance at 0 Hz");
  check_refused("# MHz S RI\n1 0 0 0 0 0 0 0 0\n", "a.s2p", 0, 0, "a load has one port, this file has 2");
}

TEST_CASE("total reflection by rounding is reported and has no resistance") {
  const Load load = load_from_touchstone_text("# MHz S RI\n1 0.5 0\n2 0 1.0000000005\n", "a.s1p");
  REQUIRE(load.reading_warnings.size() == 1);
  CHECK(load.reading_warnings[0].starts_with("a.s1p:3:3: "));
  CHECK(load_impedance(load, 2e6).real() == 0.0);
  check_refused("# MHz S RI\n1 0 1.000000002\n", "a.s1p", 2, 3, "|S11| exceeds 1 by 2e-9:");
}

TEST_CASE("resistance near total reflection is called unreliable for S data only") {
  const std::string points = "1 0.99 0\n1.1 0.985 0\n1.2 0.5 0\n1.3 0 0.999\n";
  const auto warnings = load_warnings(load_from_touchstone_text("# MHz S RI\n" + points, "a.s1p"));
  REQUIRE(warnings.size() == 2);
  INFO(warnings[0]);
  CHECK(warnings[0].find("at 1 MHz to 1.1 MHz") != std::string::npos);
  CHECK(warnings[1].find("at 1.3 MHz:") != std::string::npos);
  CHECK(load_warnings(load_from_touchstone_text("# MHz Z RI\n" + points, "a.s1p")).empty());
  const auto odd = load_warnings(load_from_touchstone_text("  # MHz Z RI\n1 1 0\n", "a.s1p"));
  REQUIRE(odd.size() == 1);
  CHECK(odd[0] == "a.s1p:1: blanks before the option line");
}

TEST_CASE("a reflection is called unreliable from 0.98 on") {
  const auto warned = [](const char* points) {
    return !load_warnings(load_from_touchstone_text(std::string("# MHz S RI\n") + points, "a.s1p")).empty();
  };
  CHECK_FALSE(warned("1 0.979 0\n2 0 -0.979\n"));
  CHECK_FALSE(warned("1 0.98 0\n"));
  CHECK(warned("1 0.981 0\n"));
  CHECK(warned("1 0 -0.981\n"));
}

TEST_CASE("a load tells the file it comes from and its kind") {
  CHECK(load_from_touchstone_text("# MHz Y RI R 50\n1 1 0\n", "a/b.s1p").origin ==
        "Touchstone 1.0 file a/b.s1p, Y parameters");
  CHECK(load_from_touchstone_text("# MHz Z RI R 50\n1 1 0\n", "b.s1p").origin ==
        "Touchstone 1.0 file b.s1p, Z parameters");
  CHECK(load_from_touchstone_text("[Version] 2.0\n# Hz Z RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n"
                                  "[Network Data]\n5 2 3\n[End]\n",
                                  "c.ts")
            .origin == "Touchstone 2.0 file c.ts, Z parameters");
  CHECK(load_from_csv_text("frequency_hz,r_ohm,x_ohm\n7e6,10,-1000\n", "d.csv").origin == "CSV file d.csv");
}

TEST_CASE("CSV sweeps") {
  const Load load =
      load_from_csv_text("# by hand\nfrequency_hz,r_ohm,x_ohm\n7e6,10,-1000\n7.1e6,11,-950\n", "dir.x/my whip.csv");
  CHECK(load.name == "my whip");
  CHECK(load_impedance(load, 7.1e6) == cdouble(11.0, -950.0));
  CHECK(load_warnings(load).empty());
  CHECK_FALSE(load_shares(load, 7e6));

  const Load full =
      load_from_csv_text("x_ohm,metal_share,r_ohm,frequency_hz,radiated_share,note\n-5,0.1,2,7e6,0.3,wet\n", "a.csv");
  const auto shares = load_shares(full, 7e6);
  REQUIRE(shares);
  CHECK(std::abs(shares->radiated - 0.3) <= 1e-15);
  CHECK(std::abs(shares->ground - 0.6) <= 1e-15);
  REQUIRE(load_warnings(full).size() == 1);
  CHECK(load_warnings(full)[0].find("\"note\" is not used") != std::string::npos);

  const Load carried = load_from_csv_text(
      "frequency_hz,r_ohm,x_ohm,radiated_share,metal_share,person_share,lump_share\n7e6,2,-5,0.3,0.1,0.25,0.05\n",
      "a.csv");
  const auto all = load_shares(carried, 7e6);
  REQUIRE(all);
  CHECK(load_warnings(carried).empty());
  CHECK(std::abs(all->person - 0.25) <= 1e-15);
  CHECK(std::abs(all->lumps - 0.05) <= 1e-15);
  CHECK(std::abs(all->ground - 0.3) <= 1e-15);
  check_refused("frequency_hz,r_ohm,x_ohm,radiated_share,metal_share,person_share\n1,1,1,0.6,0.1,0.4\n", "a.csv", 2, 11,
                "sum to more than 1");
  check_refused("frequency_hz,r_ohm,x_ohm,lump_share\n1,1,1,0.1\n", "a.csv", 1, 26,
                "lump_share needs radiated_share and metal_share beside it");

  const std::string head = "frequency_hz,r_ohm,x_ohm\n7e6,10,-1000\n";
  check_refused(head + "7e6,11,-950\n", "a.csv", 3, 1, "strictly increase");
  check_refused(head + "8e6,-11,-950\n", "a.csv", 3, 5, "negative resistance");
  check_refused("frequency_hz,r_ohm,x_ohm\n0,1,1\n", "a.csv", 2, 1, "greater than 0 Hz");
  check_refused("frequency_hz,r_ohm,x_ohm\n", "a.csv", 1, 0, "no rows");
  check_refused("# a comment\n\n", "a.csv", 3, 0, "no heading line");
  check_refused("# a comment\nfrequency_hz,r_ohm,x_ohm\n", "a.csv", 2, 0, "no rows");
  check_refused("frequency_hz,r_ohm,x_ohm,metal_share\n1,1,1,0\n", "a.csv", 1, 26, "must stand together");
  check_refused("frequency_hz,r_ohm,x_ohm,metal_share,radiated_share\n1,1,1,0.6,0.5\n", "a.csv", 2, 7,
                "sum to more than 1");
  check_refused("frequency_hz,r_ohm,x_ohm,metal_share,radiated_share\n1,1,1,0.6,-0.5\n", "a.csv", 2, 11,
                "within 0 and 1");
  CHECK_THROWS_AS(load_from_csv_text("frequency_hz,r_ohm\n1,1\n", "a.csv"), ParseError);
}

TEST_CASE("the extension chooses the reader") {
  const auto folder = std::filesystem::temp_directory_path() / "stile_test_load_file";
  std::filesystem::create_directories(folder);
  const auto write = [&](const char* name, const char* text) {
    std::ofstream(folder / name) << text;
    return (folder / name).string();
  };
  const std::string gap = "# MHz S RI\n7 0 0\n9 0 0\n";
  const std::string one = write("A.S1P", gap.c_str());
  CHECK(load_ranges(load_from_file(one)).size() == 2);
  CHECK(load_ranges(load_from_file(one, {2.0})).size() == 1);
  CHECK(load_from_file(one).name == "A");
  CHECK(load_impedance(load_from_file(write("b.csv", "frequency_hz,r_ohm,x_ohm\n1e6,2,3\n")), 1e6) ==
        cdouble(2.0, 3.0));
  CHECK(load_impedance(
            load_from_file(write("c.ts", "[Version] 2.0\n# Hz Z RI\n[Number of Ports] 1\n[Number of Frequencies] 1\n"
                                         "[Network Data]\n5 2 3\n[End]\n")),
            5.0) == cdouble(2.0, 3.0));
  CHECK_THROWS_AS(load_from_file(write("d.txt", "")), ParseError);
  CHECK_THROWS_AS(load_from_file((folder / "missing.s1p").string()), ParseError);
  CHECK_THROWS_AS(load_from_file(write("e.s2p", "#\n1 0 0 0 0 0 0 0 0\n")), ParseError);
  std::filesystem::remove_all(folder);
}

TEST_CASE("the example sweeps and their shares are read") {
  for (const char* name : names) {
    INFO(name);
    const Load load = example_with_shares(name);
    CHECK(load.name == name);
    CHECK(load_warnings(load).empty());
    const auto& samples = samples_of(load);
    CHECK(samples.frequency_hz.size() == 30);
    CHECK(samples.shares.size() == 30);
    for (const double f : samples.frequency_hz) {
      const auto shares = load_shares(load, f);
      REQUIRE(shares);
      CHECK(std::abs(shares->radiated + shares->metal + shares->ground - 1.0) <= 1e-15);
      CHECK(shares->ground > 0.0);
    }
    CHECK_FALSE(load_covers(load, 5.3e6));
    CHECK_FALSE(load_covers(load, 30e6));
  }
  // First line of whip3m_heather.s1p: 0.306648133 - 48.0482538j times 50 ohm; its shares 0.03215, 0.04973.
  const Load heather = example_with_shares("whip3m_heather");
  CHECK(std::abs(load_impedance(heather, 3.5e6) - cdouble(15.33240665, -2402.41269)) <= 1e-11);
  CHECK(load_shares(heather, 3.5e6)->radiated == Approx(0.03215).epsilon(1e-14));
  CHECK(load_shares(heather, 3.5e6)->ground == Approx(0.91812).epsilon(1e-14));
}

TEST_CASE("shares of other frequencies are refused") {
  const Load load = load_from_file(examples + std::string("whip3m_lifted.s1p"));
  const std::string head = "frequency_hz,far_field_power_over_input,metal_loss_over_input\n";
  CHECK_THROWS_AS(attach_shares(load, read_table(head + "3500000,0.1,0.1\n", "s.csv")), ParseError);
  CHECK_THROWS_AS(attach_shares(load, read_table(head + "3500001,0.1,0.1\n", "s.csv")), ParseError);
  const Load two = load_from_csv_text("frequency_hz,r_ohm,x_ohm\n7e6,2,-5\n7.1e6,2,-4\n", "a.csv");
  const auto attached = load_shares(
      attach_shares(two,
                    read_table("frequency_hz,far_field_power_over_input,metal_loss_over_input,lump_loss_over_input,"
                               "person_loss_over_input\n7e6,0.1,0.2,0.03,0.4\n7.1e6,0.1,0.2,0.03,0.4\n",
                               "s.csv")),
      7e6);
  REQUIRE(attached);
  // A frequency within 1e-9 is the load's, one that is 2e-9 off is not, nor are more rows or fewer.
  CHECK_NOTHROW(attach_shares(two, read_table(head + "7000000.005,0.1,0.1\n7.1e6,0.1,0.1\n", "s.csv")));
  CHECK_THROWS_AS(attach_shares(two, read_table(head + "7000000.014,0.1,0.1\n7.1e6,0.1,0.1\n", "s.csv")), ParseError);
  CHECK_THROWS_AS(attach_shares(two, read_table(head + "7e6,0.1,0.1\n", "s.csv")), ParseError);
  CHECK_THROWS_AS(attach_shares(two, read_table(head + "7e6,0.1,0.1\n7.1e6,0.1,0.1\n7.2e6,0.1,0.1\n", "s.csv")),
                  ParseError);
  CHECK(std::abs(attached->person - 0.4) <= 1e-15);
  CHECK(std::abs(attached->lumps - 0.03) <= 1e-15);
  CHECK(std::abs(attached->ground - 0.27) <= 1e-15);
  CHECK_THROWS_AS(attach_shares({"", "", ConstantLoad{}, {}}, read_table(head + "3500000,0.1,0.1\n", "s.csv")),
                  DomainError);
}

TEST_CASE("every second sample predicts the others") {
  std::size_t checked = 0;
  for (const char* name : names) {
    const Load full = example_with_shares(name);
    const auto& all = samples_of(full);
    std::vector<double> f;
    std::vector<cdouble> z;
    std::vector<PowerShares> shares;
    for (std::size_t i = 0; i < all.frequency_hz.size(); i += 2) {
      f.push_back(all.frequency_hz[i]);
      z.push_back(all.z_ohm[i]);
      shares.push_back(all.shares[i]);
    }
    const Load half{"half", "", make_sampled_load(f, z, shares), {}};
    for (std::size_t i = 1; i < all.frequency_hz.size(); i += 2) {
      const double at = all.frequency_hz[i];
      if (!load_covers(half, at)) continue;
      const cdouble got = load_impedance(half, at), want = all.z_ohm[i];
      const double r_error = std::abs(got.real() / want.real() - 1.0);
      const double x_error = std::abs(got.imag() - want.imag()) / std::abs(want);
      const double share_error = std::abs(load_shares(half, at)->radiated / all.shares[i].radiated - 1.0);
      INFO(name << " " << at << " Hz: R " << r_error << " X " << x_error << " share " << share_error);
      // Measured: below 12 MHz 7.3e-4 and 4.7e-4; above, where a counterpoise nears resonance, 1.4e-2 and 5.1e-3.
      CHECK(r_error <= (at < 12e6 ? 1e-3 : 1.5e-2));
      CHECK(x_error <= (at < 12e6 ? 5e-4 : 6e-3));
      CHECK(share_error <= 1e-3);
      ++checked;
    }
  }
  CHECK(checked == 54);
}
