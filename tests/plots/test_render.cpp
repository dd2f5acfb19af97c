#include <catch2/catch.hpp>

#include <csignal>
#include <filesystem>

#include <sys/resource.h>
#include <unistd.h>

#include <stile/base/errors.hpp>
#include <stile/plots/chart.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const Chart simple{300.0, 200.0, "plot x with lines\n"};

unsigned png_width(const std::string& bytes) {  // big-endian at byte 16 (PNG specification, IHDR)
  unsigned width = 0;
  for (std::size_t i = 16; i < 20; ++i) width = 256 * width + static_cast<unsigned char>(bytes.at(i));
  return width;
}

/// No file may grow beyond this; writes beyond it fail instead of raising a signal, as on a full disk.
class FullDisk {
public:
  explicit FullDisk(rlim_t bytes) {
    getrlimit(RLIMIT_FSIZE, &old_);
    signal_ = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{bytes, old_.rlim_max};
    setrlimit(RLIMIT_FSIZE, &limit);
  }
  FullDisk(const FullDisk&) = delete;
  FullDisk& operator=(const FullDisk&) = delete;
  ~FullDisk() {
    setrlimit(RLIMIT_FSIZE, &old_);
    std::signal(SIGXFSZ, signal_);
  }

private:
  rlimit old_{};
  void (*signal_)(int) = nullptr;
};

}  // namespace

TEST_CASE("every chart renders to the three formats") {
  const std::vector<Chart> charts{samples::smith(), samples::budget(), samples::swr(), samples::budget(12),
                                  samples::swr(12)};
  for (const Chart& chart : charts) {
    const Rendering done = render(chart, {"a.png", "b.svg", "c.PDF"});
    REQUIRE(done.status == RenderStatus::rendered);
    REQUIRE(done.pictures.size() == 3);
    CHECK(done.script.empty());
    const std::string &png = done.pictures[0], &svg = done.pictures[1], &pdf = done.pictures[2];
    CHECK_THAT(png, StartsWith("\x89PNG\r\n\x1a\n"));
    CHECK(png_width(png) >= 1200);
    CHECK_THAT(svg, StartsWith("<?xml"));
    CHECK_THAT(svg, Contains("</svg>"));
    CHECK_THAT(pdf, StartsWith("%PDF-"));
    CHECK(png.size() > 20000);
    CHECK(svg.size() > 10000);
    CHECK(pdf.size() > 5000);
  }
}

TEST_CASE("equal charts give equal bytes whatever the locale and the time") {
  const auto pictures = [](const Chart& chart) {
    Rendering done = render(chart, {"a.png", "a.svg", "a.pdf"});
    REQUIRE(done.status == RenderStatus::rendered);
    return done.pictures;
  };
  for (const Chart& chart : {samples::smith(), samples::budget(), samples::swr()}) {
    const std::vector<std::string> first = pictures(chart);
    const samples::Environment zone("TZ", "Asia/Tokyo");
    const samples::Environment language("LC_ALL", "de_DE.UTF-8");
    CHECK(first == pictures(chart));
    CHECK_THAT(first[2], Contains("/CreationDate (D:20000101000000"));
  }
}

TEST_CASE("a small chart is made wide enough to print") {
  CHECK(png_width(render(simple, {"small.png"}).pictures.at(0)) >= 1200);
}

TEST_CASE("two pictures of one format are two") {
  const Rendering done = render(simple, {"a.svg", "b.svg"});
  REQUIRE(done.pictures.size() == 2);
  CHECK(done.pictures[0] == done.pictures[1]);
}

TEST_CASE("another extension is refused") {
  for (const char* name : {"a.jpg", "a", "a.gp", ".png"}) {
    INFO(name);
    CHECK_THROWS_AS(render(simple, {"good.png", name}), DomainError);
    CHECK_THROWS_WITH(render(simple, {name}), Contains(".png, .svg or .pdf"));
  }
  CHECK_THROWS_AS(render(simple, {}), DomainError);
  CHECK_THROWS_AS(render({0.0, 100.0, ""}, {"a.png"}), DomainError);
}

TEST_CASE("without gnuplot there is a script and its commands give the charts") {
  const samples::Folder folder;
  const std::vector<std::string> files{folder / "it's $5 \"so\".png", folder / "two.svg", folder / "three.pdf"};
  Rendering result;
  {
    const samples::Environment path("PATH", "/nowhere");
    result = render(samples::swr(), files);
  }
  REQUIRE(result.status == RenderStatus::no_gnuplot);
  CHECK(result.pictures.empty());
  const std::string script = folder / "it's $5 \"so\".gp";
  samples::write(script, result.script);
  for (const std::string& file : files) {
    const std::string command = render_command(script, file);
    INFO(command);
    CHECK_THAT(command, StartsWith("gnuplot -d -e "));
    CHECK(std::system(command.c_str()) == 0);
  }
  const std::string by_hand = samples::content(files[1]);
  CHECK(by_hand.size() > 10000);
  CHECK(render(samples::swr(), files).pictures.at(1) == by_hand);
}

TEST_CASE("rendering leaves nothing where temporary files go") {
  const samples::Folder folder;
  const samples::Environment place("TMPDIR", folder / "");
  CHECK(render(simple, {"a.png", "a.pdf"}).status == RenderStatus::rendered);
  CHECK_THROWS_AS(render({300.0, 200.0, "plot nonsense(x)\n"}, {"a.png"}), Error);
  CHECK(folder.files() == 0);
}

TEST_CASE("gnuplot's first message is the error") {
  CHECK_THROWS_WITH(render({300.0, 200.0, "plot nonsense(x)\nplot worse(x)\n"}, {"b.png", "a.svg"}),
                    Contains("b.png: gnuplot failed: line ") && Contains("undefined function: nonsense"));
  // gnuplot ends with 0 here, but did not draw what was meant.
  CHECK_THROWS_WITH(render({300.0, 200.0, "print 'something odd'\nplot x\n"}, {"a.svg"}), Contains("something odd"));
}

TEST_CASE("charts that one gnuplot draws are those that it draws alone, and what fails is named") {
  const Chart other{320.0, 220.0, "set title 'other'\nplot x**2 with lines\n"};
  const std::vector<Rendering> shared =
      render_all({{simple, {"a.png", "a.svg", "a.pdf"}}, {other, {"b.pdf", "b.png"}}});
  REQUIRE(shared.size() == 2);
  CHECK(shared[0].pictures == std::vector{render(simple, {"a.png"}).pictures[0], render(simple, {"a.svg"}).pictures[0],
                                          render(simple, {"a.pdf"}).pictures[0]});
  CHECK(shared[1].pictures == std::vector{render(other, {"b.pdf"}).pictures[0], render(other, {"b.png"}).pictures[0]});
  const Chart wrong{300.0, 200.0, "plot nonsense(x)\n"}, odd{300.0, 200.0, "print 'something odd'\nplot x\n"};
  CHECK_THROWS_WITH(render_all({{simple, {"a.png"}}, {wrong, {"b.pdf"}}, {other, {"c.png"}}}),
                    StartsWith("b.pdf: gnuplot failed: "));
  // All are whole: which one the words are of is not known.
  CHECK_THROWS_WITH(render_all({{simple, {"a.png"}}, {odd, {"b.pdf"}}, {other, {"c.png"}}}),
                    StartsWith("a.png, b.pdf, c.png: gnuplot failed: ") && Contains("something odd"));
}

TEST_CASE("a full disk is an error in every format and leaves nothing") {
  const samples::Folder folder;
  const samples::Environment place("TMPDIR", folder / "");
  constexpr rlim_t limit = 16384;  // far more than the script, far less than any picture of it
  const Chart chart{300.0, 200.0, "set samples 5000\nplot '+' using (rand(0)):(rand(0)) with points\n"};
  for (const char* name : {"a.png", "a.svg", "a.pdf"}) {
    INFO(name);
    REQUIRE(render(chart, {name}).pictures.at(0).size() > 2 * limit);
    std::string message = "no error";
    {
      const FullDisk full(limit);
      try {
        render(chart, {name});
      } catch (const Error& error) {
        message = error.what();
      }
    }
    CHECK_THAT(message, Contains(name));
    CHECK(folder.files() == 0);
  }
  {
    const FullDisk full(100);
    CHECK_THROWS_AS(render(chart, {"a.png"}), Error);  // not even the script
  }
  CHECK(folder.files() == 0);
}

namespace {

/// A gnuplot of our own, first on the PATH.
struct FakeGnuplot {
  explicit FakeGnuplot(const samples::Folder& folder, const std::string& script)
      : path("PATH", folder / "bin:" + std::getenv("PATH")) {
    std::filesystem::create_directory(folder / "bin");
    samples::write(folder / "bin/gnuplot", "#!/bin/bash\n" + script);
    std::filesystem::permissions(folder / "bin/gnuplot", std::filesystem::perms::owner_all);
  }
  samples::Environment path;
};

}  // namespace

TEST_CASE("a gnuplot that hangs is stopped with all that it started") {
  const samples::Folder folder;
  const FakeGnuplot fake(folder, "trap '' INT TERM HUP\nsleep 1000 &\necho $! >'" + folder / "pid" + "'\nsleep 1000\n");
  bool begun = false;
  const Rendering done =
      render(simple, {"a.png"}, [&] { return begun = begun || samples::content(folder / "pid") != ""; });
  CHECK(done.status == RenderStatus::stopped);
  CHECK(done.pictures.empty());
  const pid_t child = std::stoi(samples::content(folder / "pid"));
  int tries = 0;  // the process that takes over an orphan has to hear of it first
  while (kill(child, 0) == 0 && ++tries < 500 &&
         !Contains(") Z ").match(samples::content("/proc/" + std::to_string(child) + "/stat")))
    usleep(10000);
  CHECK(tries < 500);
}

TEST_CASE("a gnuplot that is killed, or fails without a word, is an error") {
  const samples::Folder folder;
  const FakeGnuplot fake(folder, "[ -e '" + folder / "fail" + "' ] && exit 3\nkill -9 $$\n");
  CHECK_THROWS_WITH(render(simple, {"a.png"}), Contains("a.png: gnuplot failed: exit status 137"));
  samples::write(folder / "fail", "");
  CHECK_THROWS_WITH(render(simple, {"a.png"}, [] { return false; }), Contains("exit status 3"));
}

TEST_CASE("a gnuplot that ends while a child of its holds standard error does not hang the chart") {
  const samples::Folder folder;
  const FakeGnuplot fake(folder, "sleep 1000 >/dev/null & echo $! >'" + folder / "pid" + "'\nexit 3\n");
  CHECK_THROWS_WITH(render(simple, {"a.png"}), Contains("exit status 3"));
  kill(std::stoi(samples::content(folder / "pid")), SIGKILL);
}
