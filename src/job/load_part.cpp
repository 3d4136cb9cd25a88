#include "job/load_part.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <vector>

#include "seamwright/job/run_split.h"
#include "seamwright/mesh/load.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright::job_detail {
namespace {

/// SHA-256 of a file in hexadecimal (FIPS 180-4, by OpenSSL).
Result<std::string> file_sha256(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in)
    return Error{"file-not-found", fmt::format("{}: can't be opened for reading", path.string())};
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  EVP_DigestInit_ex(context, EVP_sha256(), nullptr);
  std::vector<char> block(1 << 20);
  while (in.read(block.data(), static_cast<std::streamsize>(block.size())), in.gcount() > 0) {
    EVP_DigestUpdate(context, block.data(), static_cast<std::size_t>(in.gcount()));
  }
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  EVP_DigestFinal_ex(context, digest.data(), &size);
  EVP_MD_CTX_free(context);
  std::string hex;
  for (unsigned int i = 0; i < size; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex;
}

Result<Vec3> side_named(const std::string& word, const char* key) {
  if (word.size() == 2 && (word[0] == '+' || word[0] == '-') && word[1] >= 'x' && word[1] <= 'z') {
    Vec3 side;
    side[static_cast<std::size_t>(word[1] - 'x')] = word[0] == '+' ? 1 : -1;
    return side;
  }
  return Error{"job-bad-value", fmt::format("{} \"{}\": give one of +x -x +y -y +z -z", key, word)};
}

Result<Vec3> axis_named(const std::string& word, const char* key) {
  if (word.size() == 1 && word[0] >= 'x' && word[0] <= 'z') return side_named("+" + word, key);
  return Error{"job-bad-value", fmt::format("{} \"{}\": give one of x y z", key, word)};
}

/// Farther away than this share of the part's diagonal nothing wears it.
constexpr double kBodyReach_ratio = 0.1;

void scale(TriangleSoup& soup, double ratio) {
  if (ratio == 1) return;
  for (Vec3& p : soup.points) p = p * ratio;
}

/// The side a word names once the solid is mirrored.
std::string mirrored_word(std::string word, const std::string& axis) {
  if (word.size() == 2 && word.substr(1) == axis) word[0] = word[0] == '+' ? '-' : '+';
  return word;
}

Status check_near(const TriangleSoup& body, const Box3& part, const std::string& file) {
  const double reach_mm = kBodyReach_ratio * norm(part.size());
  Box3 box;
  for (const Vec3 p : body.points) box.extend(p);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (box.low[axis] <= part.high[axis] + reach_mm && box.high[axis] >= part.low[axis] - reach_mm)
      continue;
    return Error{"body-far-away",
                 fmt::format("[part] body = \"{}\": along {} it goes from {:.0f} to {:.0f} mm, the "
                             "part from {:.0f} to {:.0f}; save both from one scene, in one unit",
                             file, "xyz"[axis], box.low[axis], box.high[axis], part.low[axis],
                             part.high[axis])};
  }
  return ok();
}

Result<std::optional<Unit>> unit_of(const PartChoice& choice) {
  if (choice.unit.empty()) return std::optional<Unit>{};
  const std::optional<Unit> unit = unit_named(choice.unit);
  if (!unit)
    return Error{"job-bad-value", fmt::format("unit \"{}\": give mm, cm, m or inch", choice.unit)};
  return unit;
}

}  // namespace

std::string worn_words(const PartChoice& choice) {
  if (!choice.worn_side.empty()) return mirrored_word(choice.worn_side, choice.mirror);
  if (!choice.wall_side.empty()) return "wall " + mirrored_word(choice.wall_side, choice.mirror);
  if (!choice.around.empty()) return "around " + choice.around;
  if (!choice.body.empty())
    return "against " + std::filesystem::path(choice.body).filename().string();
  return "";
}

Status check_words(const PartChoice& choice) {
  if (const auto unit = unit_of(choice); !unit) return unit.error();
  if (choice.mirror.empty()) return ok();
  const Result<Vec3> axis = axis_named(choice.mirror, "mirror");
  return axis ? ok() : Status(axis.error());
}

Result<SightOptions> sight_options(const PartChoice& choice, const SearchChoice& search) {
  const bool has_worn = !choice.worn_side.empty(), has_wall = !choice.wall_side.empty();
  const bool has_around = !choice.around.empty();
  const bool has_body = !choice.body.empty();
  if (has_worn + has_wall + has_around + has_body > 1) {
    return Error{"job-bad-value", "give one of worn_side, wall_side, around and body, not several"};
  }
  SightOptions options;
  options.seed = static_cast<std::uint64_t>(search.seed);
  if (has_worn || has_wall || has_around) {
    options.mode = has_worn ? SightMode::worn : has_wall ? SightMode::wall : SightMode::around;
    const auto word = [&](const std::string& side) { return mirrored_word(side, choice.mirror); };
    const Result<Vec3> side = has_worn   ? side_named(word(choice.worn_side), "worn_side")
                              : has_wall ? side_named(word(choice.wall_side), "wall_side")
                                         : axis_named(choice.around, "around");
    if (!side) return side.error();
    options.worn_side = *side;
  }
  if (!choice.up.empty()) {
    const Result<Vec3> up = side_named(mirrored_word(choice.up, choice.mirror), "up");
    if (!up) return up.error();
    options.up = *up;
  }
  if (search.effort == Effort::quick) {
    options.rays_per_face = 16;
    options.is_smoothed = true;
  }
  return options;
}

Result<LoadedPart> load_part(const PartChoice& choice, const Run& run) {
  const std::filesystem::path path = choice.file;
  const Result<std::optional<Unit>> unit = unit_of(choice);
  if (!unit) return unit.error();
  Result<TriangleSoup> soup = load_mesh(path, run);
  if (!soup) return std::move(soup).error();
  const Result<std::string> sha256 = file_sha256(path);
  if (!sha256) return sha256.error();
  Result<UnitChoice> scaled = choose_unit(*soup, *unit, choice.length_mm);
  if (!scaled) return std::move(scaled).error().within(path.filename().string());
  const std::size_t face_count = soup->triangles.size();
  FaceGroups groups{soup->groups, soup->group_names};
  scale(*soup, scaled->scale_ratio);
  Result<Mended> mended = mend(std::move(*soup), run);
  if (!mended) return std::move(mended).error().within(path.filename().string());
  if (!choice.mirror.empty()) {
    const Result<Vec3> axis = axis_named(choice.mirror, "mirror");
    if (!axis) return axis.error();
    mended->solid = mended->solid.mirrored(choice.mirror[0] - 'x');
  }
  const MassProperties mass = mass_properties(mended->solid);
  PartFacts facts{.file = path.filename().string(), .sha256 = *sha256, .unit = *scaled};
  facts.size_mm = mended->solid.box().size();
  facts.volume_mm3 = mass.volume_mm3;
  facts.area_mm2 = mass.area_mm2;
  facts.face_count = face_count;
  facts.worn_side = worn_words(choice);
  facts.up = mirrored_word(choice.up, choice.mirror);
  facts.mended = std::move(mended->steps);
  return LoadedPart{std::move(mended->solid), std::move(facts), std::move(groups)};
}

Status stand_body_beside(SightOptions& sight, const PartChoice& choice, const LoadedPart& part,
                         const Run& run) {
  if (choice.body.empty()) return ok();
  const std::filesystem::path path = choice.body;
  Result<TriangleSoup> body = load_mesh(path, run);
  if (!body) return Error(body.error()).within("[part] body");
  scale(*body, part.facts.unit.scale_ratio);
  if (!choice.mirror.empty()) {
    for (Vec3& p : body->points) {
      double& along = p[static_cast<std::size_t>(choice.mirror[0] - 'x')];
      along = -along;
    }
  }
  if (Status near = check_near(*body, part.solid.box(), path.filename().string()); !near)
    return near;
  sight.mode = SightMode::body;
  sight.body = std::make_shared<const TriangleSoup>(std::move(*body));
  return ok();
}

}  // namespace seamwright::job_detail

namespace seamwright {

bool is_same_part(const PartChoice& part, const std::string& file, const std::string& sha256) {
  if (std::filesystem::path(part.file).filename() == file) return true;
  const Result<std::string> bytes = job_detail::file_sha256(part.file);
  return bytes && *bytes == sha256;
}

}  // namespace seamwright
