# The rooms, lowest floor first. A room may use the rooms above its own line in this list; scripts/check holds it.
seamwright_room(core LINK TBB::tbb fmt::fmt)
seamwright_room(profile LINK seamwright_core)
seamwright_room(mesh LINK seamwright_profile PRIVATE PkgConfig::assimp PkgConfig::lib3mf CGAL::CGAL JUDGE PkgConfig::assimp CGAL::CGAL)
seamwright_room(query LINK seamwright_mesh PRIVATE embree Qhull::qhullstatic_r meshoptimizer::meshoptimizer JUDGE CGAL::CGAL)
seamwright_room(cut LINK seamwright_query PRIVATE CGAL::CGAL PkgConfig::polyclipping JUDGE CGAL::CGAL)
seamwright_room(wiring LINK seamwright_cut PRIVATE CGAL::CGAL JUDGE CGAL::CGAL)
seamwright_room(pose LINK seamwright_cut)
seamwright_room(seams LINK seamwright_pose PRIVATE Eigen3::Eigen PkgConfig::clp)
seamwright_room(joints LINK seamwright_pose PRIVATE CGAL::CGAL PkgConfig::polyclipping JUDGE CGAL::CGAL)
seamwright_room(printing LINK seamwright_pose PRIVATE PkgConfig::polyclipping JUDGE CGAL::CGAL)
seamwright_room(days LINK seamwright_printing PRIVATE PkgConfig::polyclipping JUDGE PkgConfig::polyclipping PkgConfig::libical)
seamwright_room(wear LINK seamwright_joints seamwright_days)
seamwright_room(handoff LINK seamwright_wiring seamwright_seams seamwright_joints seamwright_printing seamwright_days seamwright_wear
  PRIVATE PkgConfig::lib3mf PNG::PNG embree nlohmann_json::nlohmann_json
  JUDGE PkgConfig::assimp PNG::PNG nlohmann_json::nlohmann_json)
seamwright_room(job LINK seamwright_handoff PRIVATE OpenSSL::Crypto)
seamwright_room(app LINK seamwright_job PRIVATE CLI11::CLI11 nlohmann_json::nlohmann_json)

# The checkers under scripts, which stand apart from the program, have tests of their own.
if(SEAMWRIGHT_TESTS)
  find_program(PYTHON3 python3 REQUIRED)
  add_test(NAME scripts COMMAND ${PYTHON3} -B -m unittest discover -s ${CMAKE_SOURCE_DIR}/tests/scripts -p "*_test.py")
  add_test(NAME stop_by_signal COMMAND ${PYTHON3} -B ${CMAKE_SOURCE_DIR}/tests/scripts/stop_by_signal.py $<TARGET_FILE:seamwright>)
  # Whole parts through the built program and the checker: minutes each under the sanitizers, so in release only.
  if(NOT SEAMWRIGHT_SANITIZE)
    foreach(part rod bracket panel ring shell armadillo elephant camel)
      add_test(NAME split.${part} COMMAND ${PYTHON3} -B ${CMAKE_SOURCE_DIR}/tests/scripts/split_and_verify.py
        $<TARGET_FILE:seamwright> ${SEAMWRIGHT_PARTS}/${part}.stl --effort quick)
    endforeach()
    add_test(NAME split.carapace COMMAND ${PYTHON3} -B ${CMAKE_SOURCE_DIR}/tests/scripts/split_and_verify.py
      $<TARGET_FILE:seamwright> meshes/carapace.toml --effort quick)
    add_test(NAME split.tail_fan COMMAND ${PYTHON3} -B ${CMAKE_SOURCE_DIR}/tests/scripts/split_and_verify.py
      $<TARGET_FILE:seamwright> meshes/tail_fan.stl --effort quick)
  endif()
endif()
