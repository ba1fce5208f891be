# SPDX-License-Identifier: GPL-3.0-or-later
"""How the binding passes values, arrays, handles, errors and warnings."""
import concurrent.futures
import copy
import ctypes
import gc
import math
import pickle
import unittest
import warnings

import support

import jetwright as jw
import numpy as np

COURIER = support.PROFILES / "engines" / "courier-150.yaml"


def setup_of(path=COURIER):
    with jw.profile_load(path) as profile:
        return jw.profile_setup(profile)


AIR = jw.air_from_humidity(101325.0, 288.15, 0.0)


class Errors(unittest.TestCase):
    def test_an_error_carries_field_value_and_limits(self):
        with self.assertRaises(jw.RangeError) as caught:
            jw.standard_atmosphere(20000)
        error = caught.exception
        self.assertIsInstance(error, ValueError)
        self.assertEqual((error.status, error.name), (jw.E_RANGE, "JW_E_RANGE"))
        self.assertEqual((error.field, error.value), ("geopotential_m", 20000.0))
        self.assertEqual((error.low, error.high), (-2000.0, 11000.0))
        self.assertIn("expected -2000 to 11000", str(error))

    def test_no_number_where_none_tells_it(self):
        with self.assertRaises(jw.UnitError) as caught:
            jw.quantity_parse("1 cubit", jw.LENGTH)
        self.assertEqual(str(caught.exception), f"unit: {jw.UnitError.text}")

    def test_every_error_code_has_its_class(self):
        codes = [code for code in jw.StatusCode if code < 0]
        self.assertEqual(set(codes), set(jw._library.STATUSES.errors))
        for code in codes:
            kind = jw._library.STATUSES.errors[code]
            self.assertEqual((kind.status, kind.name), (code, jw.status_name(code)))
            self.assertEqual(kind.text, jw.status_text(code))
            self.assertTrue(issubclass(kind, jw.Error))

    def test_faults_of_a_file_are_carried(self):
        with self.assertRaises(jw.SchemaError) as caught:
            jw.case_parse("engine: courier-150\nevidence: [no-such-word]\n", support.PROFILES)
        error = caught.exception
        self.assertTrue(error.faults)
        self.assertTrue(all(fault.line > 0 and fault.message for fault in error.faults))
        self.assertIn(error.faults[0].message, str(error))
        with self.assertRaises(OSError):
            jw.profile_load("no-such-file.yaml")

    def test_what_a_struct_lacks_is_named(self):
        setup = setup_of()
        for call, field in ((lambda: jw.rejet(jw.RejetRequest(air=AIR)), "setup"),
                            (lambda: jw.rejet_plan_over(jw.RejetRequest(setup=setup), 0, 500), "air"),
                            (lambda: jw.bank_at(jw.Bank(count=2, setup=[setup]), AIR, jw.Point(50.0, 0.5)), "setup")):
            with self.assertRaises(jw.ArgumentError) as caught:
                call()
            self.assertEqual(caught.exception.field, field)
        with self.assertRaises(jw.RangeError):
            jw.mixture_contributions(setup, AIR, jw.Point(50.0, 0.5),
                                     [jw.Unmeasured(offset=10**9, count=1, relative=0.1)], None)

    def test_text_does_not_end_at_a_nul(self):
        for call in (lambda: jw.quantity_parse("1 mm\0junk", jw.LENGTH), lambda: jw.profile_load("courier-150.yaml\0"),
                     lambda: jw.word_nearest("full", ["full\0x"]), lambda: jw.cause_find("pilot_jet_restricted\0")):
            with self.assertRaisesRegex(ValueError, "NUL"):
                call()

    def test_wrong_types_never_reach_c(self):
        for call in (lambda: jw.relative_humidity(None), lambda: jw.mixture_at(AIR, AIR, AIR),
                     lambda: jw.cause_find(None), lambda: jw.profile_name(AIR), lambda: jw.range_name(0.5),
                     lambda: jw.profile_load(3), lambda: jw.mixture_map(AIR, AIR, 1, 1),
                     lambda: jw.profile_contributions(AIR, AIR, jw.Point()), lambda: jw.saturation_pressure("x"),
                     lambda: jw.saturation_pressure()):
            with self.assertRaises((TypeError, ValueError)):
                call()
        with self.assertRaises(OverflowError):
            jw.cause_at(2**40)
        with self.assertRaises(AttributeError):
            AIR.presure_pa = 1.0


class Warnings(unittest.TestCase):
    def told(self, call):
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            call()
        return caught

    def test_a_bit_is_one_warning_at_the_callers_line(self):
        (warning,) = self.told(lambda: jw.air_from_humidity(30e3, 288.15, 0.0))
        self.assertIs(warning.category, jw.ExtrapolatedWarning)
        self.assertEqual(warning.filename, __file__)
        self.assertEqual(str(warning.message), jw.status_text(jw.W_EXTRAPOLATED))

    def test_every_bit_has_its_class(self):
        bits = [code for code in jw.StatusCode if code > 0]
        caught = self.told(lambda: jw._library.STATUSES.check(sum(bits)))
        self.assertEqual([warning.category.bit for warning in caught], bits)
        self.assertEqual([warning.category.name for warning in caught], [jw.status_name(bit) for bit in bits])

    def test_a_map_warns_of_all_points_and_tells_each(self):
        setup, found = setup_of(), {}
        caught = self.told(lambda: found.update(map=jw.mixture_map(setup, AIR, [20.0, 120.0], [[0.0], [1.0]])))
        both = np.bitwise_or.reduce(found["map"].statuses, axis=None)
        self.assertGreater(both, 0)
        self.assertEqual(sum(warning.category.bit for warning in caught), both)
        points = (20.0, 0.0), (120.0, 0.0), (20.0, 1.0), (120.0, 1.0)
        for (speed, throttle), status in zip(points, found["map"].statuses.flat):
            point = jw.Point(speed_rev_s=speed, throttle=throttle)
            self.assertEqual(sum(w.category.bit for w in self.told(lambda: jw.mixture_at(setup, AIR, point))), status)


class Structs(unittest.TestCase):
    def test_members_by_name_arrays_as_in_c(self):
        engine = jw.Engine(strokes=4, cylinders=2, bore_m=0.05, stroke_m=0.06, ve_speed_rev_s=[10, 20], ve=[0.8, 0.9],
                           ve_points=2)
        self.assertAlmostEqual(jw.displacement(engine), 2 * math.pi / 4 * 0.05**2 * 0.06, delta=1e-15)
        self.assertEqual(list(engine.ve[:3]), [0.8, 0.9, 0.0])
        engine.ve[1] = 0.7  # a view of the struct
        self.assertAlmostEqual(jw.volumetric_efficiency(engine, 15.0), 0.75)
        engine.ve = [0.5]
        self.assertEqual(list(engine.ve[:2]), [0.5, 0.0])
        with self.assertRaises(ValueError):
            engine.ve = np.ones(jw.VE_POINTS + 1)
        fuel = jw.Fuel(part=[jw.FuelPart(jw.PETROL, 0.9), jw.FuelPart(jw.ETHANOL, 0.1)], parts=2)
        self.assertIs(fuel.part[1].liquid, jw.Liquid.ETHANOL)
        self.assertLess(jw.fuel_at(fuel, 288.15).stoichiometric_afr, 14.5)

    def test_copies_are_apart_and_equal_until_changed(self):
        setup = setup_of()
        other = copy.deepcopy(setup)
        self.assertEqual(setup, other)
        other.carburetor.main.fuel_jet.diameter_m *= 1.1
        self.assertNotEqual(setup, other)
        self.assertEqual(pickle.loads(pickle.dumps(AIR)), AIR)
        with self.assertRaises(ValueError):  # it points to a set-up of this process
            pickle.dumps(jw.Bank(count=1, setup=[setup]))
        self.assertIn("density_kg_m3=1.2255", repr(AIR))

    def test_what_c_would_read_beyond_is_refused(self):
        setup = setup_of()
        for struct, name, most in ((setup.carburetor, "ports", jw.PORTS), (setup.fuel, "parts", jw.FUEL_PARTS),
                                   (setup.engine, "ve_points", jw.VE_POINTS),
                                   (jw.Case(), "evidences", jw.EVIDENCE_MAX)):
            setattr(struct, name, most)
            for wrong in (most + 1, -1):
                with self.assertRaisesRegex(ValueError, f"0 to {most}"):
                    setattr(struct, name, wrong)
        for wrong in (99, -1, jw.CARBURETOR_KIND_COUNT):
            with self.assertRaises(ValueError):
                setup.carburetor.kind = wrong

    def test_texts(self):
        info = jw.cause_at(jw.cause_find("pilot_jet_restricted"))
        self.assertEqual(info.id, "pilot_jet_restricted")
        self.assertIsNone(jw.cause_at(-1))
        self.assertIsNone(jw.range_name(99))
        self.assertEqual(jw.range_name(jw.HALF), "half")
        self.assertEqual(jw.date_write(jw.date_parse("2026-04-18")), "2026-04-18")
        self.assertEqual(jw.word_nearest("ful", ["full", "idle"]), "full")
        self.assertIsNone(jw.word_nearest("zzzzz", ["full", "idle"]))

    def test_what_a_struct_points_to_lives_with_it(self):
        bank = jw.Bank(count=2, setup=[setup_of(), setup_of()])
        gc.collect()
        state = jw.bank_at(bank, AIR, jw.Point(50.0, 0.5))
        self.assertEqual(list(state.air_share[:2]), [0.5, 0.5])
        self.assertEqual(bank.setup[0], setup_of())
        other = bank.copy()
        del bank
        gc.collect()
        self.assertEqual(jw.bank_at(other, AIR, jw.Point(50.0, 0.5)).mixture[1], state.mixture[1])

    def test_counted_pointers_set_their_count(self):
        setup = setup_of()
        thin = jw.RejetChange(kind=jw.REJET_PRESSURE, value=80e3)
        request = jw.RejetRequest(setup=setup, air=AIR, change=[thin])
        self.assertEqual(request.changes, 1)
        with self.assertRaises(AttributeError):
            request.changes = 2
        request.change = None
        self.assertEqual(request.changes, 0)
        request.change = [thin]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            answer = jw.rejet(request)
        self.assertAlmostEqual(answer.air.pressure_pa, 80e3)
        self.assertGreater(answer.range[jw.FULL].after.phi, answer.range[jw.FULL].before.phi)
        moved, air = setup.copy(), AIR.copy()
        self.assertIsNone(jw.rejet_apply([thin], moved, air))
        self.assertEqual(air, answer.air)


class Handles(unittest.TestCase):
    def test_closed_by_with_and_refused_afterwards(self):
        with jw.profile_load(COURIER) as profile:
            self.assertTrue(jw.profile_name(profile))
        with self.assertRaisesRegex(ValueError, "Profile is closed"):
            jw.profile_name(profile)
        profile.close()
        jw.profile_free(profile)

    def test_neither_copied_nor_pickled(self):
        with jw.profile_load(COURIER) as profile:
            for again in (copy.copy, copy.deepcopy, pickle.dumps):
                with self.assertRaisesRegex(TypeError, "neither copied nor pickled"):
                    again(profile)

    def test_what_belongs_to_another_ends_with_it(self):
        with jw.case_load(next(iter(sorted((support.PROFILES / "cases").glob("*.yaml"))))) as case:
            profile = jw.case_profile(case)
            setup = jw.profile_setup(profile)
            profile.close()
            self.assertEqual(jw.profile_setup(profile), setup)
        with self.assertRaisesRegex(ValueError, "is closed"):
            jw.profile_setup(profile)
        jw.setup_check(setup)  # a copy, which outlives the file

    def test_a_case_is_explained(self):
        with jw.case_load(next(iter(sorted((support.PROFILES / "cases").glob("*.yaml"))))) as case:
            known, log = jw.case_evidence(case), jw.case_log(case)
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                report = jw.explain(jw.profile_setup(jw.case_profile(case)), known)
                again, course = jw.explain_log(jw.profile_setup(jw.case_profile(case)), known, log)
        with report, again:
            findings = [jw.report_finding(report, i) for i in range(jw.report_findings(report))]
            self.assertGreater(len(findings), 10)
            self.assertEqual(sorted((f.probability for f in findings), reverse=True), [f.probability for f in findings])
            chances = sum(jw.report_hypothesis(report, i).probability for i in range(jw.report_hypotheses(report)))
            self.assertAlmostEqual(chances, 1.0)
            self.assertIsNone(jw.report_finding(report, -1))
            self.assertGreater(course.beliefs, 0)


class Arrays(unittest.TestCase):
    def test_a_map_broadcasts_and_agrees_with_points(self):
        setup = setup_of()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            speeds, throttles = np.linspace(30, 110, 5), np.linspace(0.1, 1, 4)
            mixtures, statuses = jw.mixture_map(setup, AIR, speeds[:, None], throttles)
            self.assertEqual((mixtures.shape, statuses.shape), ((5, 4), (5, 4)))
            for i, speed in enumerate(speeds):
                for j, throttle in enumerate(throttles):
                    one = jw.mixture_at(setup, AIR, jw.Point(speed, throttle))
                    self.assertAlmostEqual(mixtures.phi[i, j] / one.phi, 1.0, delta=2e-8)
                    self.assertAlmostEqual(mixtures.path.lift_m[i, j], one.path.lift_m, delta=1e-9)
            near = jw.mixture_near(setup, AIR, jw.Point(speeds[1], throttles[1]), mixtures[1, 1])
            self.assertAlmostEqual(near.phi / mixtures.phi[1, 1], 1.0, delta=2e-8)
            self.assertEqual(jw.mixture_map(setup, AIR, 50.0, 0.5).mixtures.shape, ())
            self.assertEqual(jw.mixture_map(setup, AIR, [], []).mixtures.shape, (0,))
        with self.assertRaises(ValueError):
            jw.mixture_map(setup, AIR, [1.0, 2.0], [1.0, 2.0, 3.0])
        with self.assertRaises(jw.RangeError) as caught:
            jw.mixture_map(setup, AIR, 50.0, [0.5, 1.5])
        self.assertEqual((caught.exception.value, caught.exception.high), (1.5, 1.0))

    def test_threads_agree_bit_for_bit(self):
        setup, speeds, throttles = setup_of(), np.linspace(30, 110, 40)[:, None], np.linspace(0.1, 1, 20)
        with warnings.catch_warnings(), concurrent.futures.ThreadPoolExecutor(4) as threads:
            warnings.simplefilter("ignore")
            maps = list(threads.map(lambda _: jw.mixture_map(setup, AIR, speeds, throttles).mixtures.tobytes(), range(8)))
        self.assertEqual(len(set(maps)), 1)

    def test_counts_come_from_arrays(self):
        np.testing.assert_allclose(jw.posterior([0.5, 0.5], [0.2, 0.6]), [0.25, 0.75])
        with self.assertRaisesRegex(ValueError, "differ in length"):
            jw.posterior([0.5, 0.5], [0.2])
        self.assertAlmostEqual(jw.entropy([0.5, 0.5]), 1.0)
        with self.assertRaises(ValueError):
            jw.film_step(jw.Wall(0.3, 0.5), [1.0, 2.0, 3.0], 0.1, 0.0)

    def test_rows_of_structs_go_out_and_in(self):
        setup = setup_of()
        snap = jw.Snap(speed_rev_s=50, from_=0.2, to=0.8, opening_s=0.1, wall_k=330, step_s=0.01)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            instants = jw.snap_follow(setup, AIR, snap, 200)
        np.testing.assert_allclose(np.diff(instants.time_s), 0.01)
        leanest = jw.snap_stumble(instants, 1 / 1.3)
        self.assertEqual(leanest.leanest_phi, instants.phi.min())
        structs = [jw.Instant.from_buffer_copy(row.tobytes()) for row in instants]
        self.assertEqual(jw.snap_stumble(structs, 1 / 1.3), leanest)

    def test_streams_are_texts(self):
        self.assertIn('"$schema"', jw.profile_schema("engine"))
        with self.assertRaises(jw.NotFoundError):
            jw.profile_fields("no-such-kind")


class Models(unittest.TestCase):
    inputs = [jw.Input(mean=3.0, uncertainty=0.3), jw.Input(mean=4.0, uncertainty=0.4)]

    def test_a_function_is_propagated(self):
        contribution, result = jw.propagate(lambda x: x[0] + 2 * x[1], self.inputs, 0.1)
        self.assertAlmostEqual(result.value, 11.0)
        np.testing.assert_allclose(contribution, [0.3, 0.8])
        outputs, sampling = jw.sample(lambda x: x.sum(), self.inputs, 1023, 0.95)
        self.assertEqual(len(outputs), 1023)
        self.assertAlmostEqual(sampling.deviation, 0.5, delta=0.02)

    def test_its_failures_come_back(self):
        with self.assertRaises(ZeroDivisionError):
            jw.propagate(lambda x: 1 / 0, self.inputs, 0.1)

        def refuses(x):
            if x[0] < 3.0:
                raise jw.RangeError()
            return x[0]

        self.assertGreater(jw.sample(refuses, self.inputs, 1023, 0.95)[1].left_out, 400)


class Sizes(unittest.TestCase):
    def test_the_library_is_the_one_that_the_package_was_made_for(self):
        self.assertEqual(jw.version(), jw.__version__)
        self.assertEqual(np.dtype(jw.Mixture).itemsize, ctypes.sizeof(jw.Mixture))


if __name__ == "__main__":
    unittest.main()
