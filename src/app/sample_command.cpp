#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <ostream>

#include "app/commands.h"
#include "app/sample_picture.h"
#include "seamwright/joints/joint_sample.h"
#include "seamwright/mesh/load.h"
#include "seamwright/mesh/save.h"

namespace seamwright::app {
namespace {

using Json = nlohmann::json;

struct SampleOptions {
  std::string joint, folder = ".", out;
  double width_mm = 30;
};

Error bad_usage(std::string message) {
  return {"bad-usage", std::move(message)};
}

Vec3 point_of(const Json& json) {
  return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

/// A written file's body, put back into the part's frame.
Result<Solid> load_back(const std::filesystem::path& folder, const Json& entry) {
  Result<TriangleSoup> soup = load_mesh(folder / entry.at("file").get<std::string>());
  if (!soup) return std::move(soup).error();
  const auto m = entry.at("part_from_file").get<std::vector<double>>();
  if (m.size() != 16) return bad_usage("plan.json: part_from_file has not 16 numbers");
  for (Vec3& p : soup->points) {
    p = {m[0] * p.x + m[1] * p.y + m[2] * p.z + m[3], m[4] * p.x + m[5] * p.y + m[6] * p.z + m[7],
         m[8] * p.x + m[9] * p.y + m[10] * p.z + m[11]};
  }
  return Solid::make(std::move(*soup));
}

const Json* entry_with(const Json& list, const char* key, const std::string& value) {
  for (const Json& entry : list)
    if (entry.value(key, "") == value) return &entry;
  return nullptr;
}

/// Where the joint's outline has room for the sample: at its middle key, else on its longest edge;
/// along the outline's edge nearest to it.
SampleCut cut_of(const Json& joint, const Json& seam) {
  SampleCut cut;
  cut.seam = {point_of(seam.at("normal")), seam.at("offset_mm").get<double>()};
  const Json& loop = joint.at("outline").at(0);
  std::vector<Vec3> outline;
  for (const Json& p : loop) outline.push_back(point_of(p));
  const Json& keys = joint.at("keys");
  if (!keys.empty()) cut.at = point_of(keys.at(keys.size() / 2).at("at"));
  double best = -1;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vec3 a = outline[i], b = outline[(i + 1) % outline.size()];
    const double length = norm(b - a);
    if (length < 0.2) continue;
    const double t = std::clamp(dot(cut.at - a, b - a) / (length * length), 0.0, 1.0);
    const double worth = keys.empty() ? length : 1 / (1e-6 + norm(cut.at - (a + (b - a) * t)));
    if (worth <= best) continue;
    best = worth;
    cut.along = (b - a) / length;
    if (keys.empty()) cut.at = (a + b) / 2;
  }
  return cut;
}

Result<JointSample> sample_of(const Json& plan, const SampleOptions& options, SampleCut& cut) {
  const Json* joint = entry_with(plan.at("joints"), "id", options.joint);
  if (joint == nullptr)
    return bad_usage(fmt::format("{}: no such joint in the plan, which has J1 to J{}",
                                 options.joint, plan.at("joints").size()));
  const Json* seam = entry_with(plan.at("seams"), "id", joint->at("seam").get<std::string>());
  if (seam == nullptr) return bad_usage("plan.json: the joint's seam is missing");
  cut = cut_of(*joint, *seam);
  cut.width_mm = options.width_mm;
  std::vector<Solid> bodies, loose;
  for (const Json& id : joint->at("pieces")) {
    const Json* piece = entry_with(plan.at("pieces"), "id", id.get<std::string>());
    if (piece == nullptr) return bad_usage("plan.json: a piece of the joint is missing");
    Result<Solid> body = load_back(options.folder, *piece);
    if (!body) return std::move(body).error();
    bodies.push_back(std::move(*body));
  }
  for (const Json& part : plan.value("loose_parts", Json::array())) {
    if (part.value("joint", "") != options.joint) continue;
    Result<Solid> body = load_back(options.folder, part);
    if (!body) return std::move(body).error();
    loose.push_back(std::move(*body));
  }
  return cut_joint_sample(bodies.at(0), bodies.at(1), loose, cut);
}

Status write_half(const std::filesystem::path& path, const Solid& half, Vec3 down) {
  std::ofstream file(path, std::ios::binary);
  write_stl(file, half.transformed(sample_pose(half, down)));
  file.close();
  return file ? ok() : Status(bad_usage(fmt::format("{}: can't be written", path.string())));
}

Status write_picture(const std::filesystem::path& path, const std::string& png) {
  std::ofstream file(path, std::ios::binary);
  file << png;
  file.close();
  return file ? ok() : Status(bad_usage(fmt::format("{}: can't be written", path.string())));
}

Exit sample(const SampleOptions& options, const Console& console) {
  std::ifstream in(std::filesystem::path(options.folder) / "plan.json", std::ios::binary);
  const Json plan = Json::parse(in, nullptr, false);
  if (!in || plan.is_discarded() || plan.value("schema", "") != "seamwright-plan/1")
    return fail(console, bad_usage(options.folder + ": no hand-off (no plan.json) there"));
  try {
    SampleCut cut;
    const Result<JointSample> found = sample_of(plan, options, cut);
    if (!found) return fail(console, found.error());
    const std::filesystem::path out = options.out.empty()
                                          ? std::filesystem::path(options.folder) / "sample"
                                          : std::filesystem::path(options.out);
    std::filesystem::create_directories(out);
    for (std::size_t i = 0; i < found->halves.size(); ++i) {
      const std::string name = options.joint + (i == 0 ? "-above.stl" : "-below.stl");
      const Vec3 down = i == 0 ? cut.seam.normal : -cut.seam.normal;
      const Status done = write_half(out / name, found->halves[i], down);
      if (!done) return fail(console, done.error());
      const Vec3 size = found->halves[i].box().size();
      console.out << fmt::format("{}: {} faces, {:.0f} x {:.0f} x {:.0f} mm in the part\n",
                                 (out / name).string(), found->halves[i].face_count(), size.x,
                                 size.y, size.z);
    }
    for (std::size_t i = 0; i < found->loose_parts.size(); ++i) {
      const std::string name = fmt::format("{}-strap{}.stl", options.joint, i + 1);
      const Status done = write_half(out / name, found->loose_parts[i], -cut.seam.normal);
      if (!done) return fail(console, done.error());
      console.out << (out / name).string() << '\n';
    }
    const std::filesystem::path picture = out / (options.joint + ".png");
    const Status drawn = write_picture(picture, sample_picture_png(*found, cut));
    if (!drawn) return fail(console, drawn.error());
    console.out << picture.string() << ": both halves opened, seen from both sides of the wall\n";
    console.out << "Print these first: try the fit and the glue before hours of printing.\n";
  } catch (const Json::exception& error) {
    return fail(console, bad_usage(std::string("plan.json is damaged: ") + error.what()));
  }
  return Exit::done;
}

}  // namespace

Body add_sample(CLI::App& program) {
  const auto options = std::make_shared<SampleOptions>();
  CLI::App* command = program.add_subcommand(
      "sample",
      "Cut a slice of one joint out of a hand-off, both halves, to try before the pieces.");
  command->add_option("JOINT", options->joint, "as the report names it: J3")->required();
  command->add_option("FOLDER", options->folder, "the hand-off; default: here");
  command->add_option("--out", options->out, "folder for the halves; default FOLDER/sample");
  command->add_option("--width", options->width_mm, "along the wall, mm; default 30")
      ->check(CLI::Range(5.0, 150.0));
  return [options](const Console& console) { return sample(*options, console); };
}

}  // namespace seamwright::app
