using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Link;

namespace TestRig.Tests;

/// <summary>
/// A hostile host against the real firmware: well-framed requests in any order and with any fields, replays, noise, resets. What happened is judged by the emulated
/// board's own log alone, against the limits that were declared and the programs that the device said it accepted.
/// </summary>
public class AttackTests
{
    private const uint TicksPerMs = 16_000;
    private const uint LongestOn = 5 * TicksPerMs;
    private const uint Rest = 2 * TicksPerMs;
    private const double TickNs = 62.5;

    private static LimitsTable LimitsOf(EmulatedChip chip) => new(
        // Lines are kept apart in pairs; each pair is named by one of the two only.
        [.. chip.LinePins.Select((pin, index) => new LineDeclaration((byte)pin, IdleHigh: true, LongestOn, Rest, index % 2 == 0 ? 2u << pin : 0))],
        [new(chip.EmergencyStop, StopsHigh: false, chip.AllLines)],
        HeartbeatMilliseconds: 60_000,
        Selects: chip.SelectPins);

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name, 1)]
    [InlineData(EmulatedChip.Mega2560Name, 2)]
    [InlineData(EmulatedChip.Mega328PName, 3)]
    [InlineData(EmulatedChip.Mega328PName, 4)]
    public void A_hostile_host_never_gets_a_line_beyond_its_limits_nor_a_program_run_twice_nor_a_select_pin_of_a_line(string name, int seed)
    {
        var chip = EmulatedChip.Of(name);
        using var bench = EmulatedBench.Start(options: ["--fast", "--seed", seed.ToString(CultureInfo.InvariantCulture)], board: chip.LinesBoard, chip: chip);
        using var link = new RawLink(bench.Port);
        link.Identify();
        var attack = new Attack(bench, link, new Random(seed), chip);
        for (var turn = 0; turn < 200; turn++)
            attack.Turn();

        // An attack that was refused at the door would prove nothing.
        Assert.True(attack.Accepted.Count > 20, $"{attack.Accepted.Count} runs");
        foreach (var refusal in (ReplyResult[])[ReplyResult.NotArmed, ReplyResult.WrongNonce, ReplyResult.AlreadyRun, ReplyResult.ProgramRefused, ReplyResult.Armed, ReplyResult.StopActive])
            Assert.True(attack.Refusals.Contains(refusal), $"nothing was refused with {refusal}");
        Assert.True(attack.Selected > 5, $"{attack.Selected} times selected");
        Assert.True(attack.SelectsRefused > 5, $"{attack.SelectsRefused} times a line was refused as a select pin");

        Assert.InRange(bench.StackUntouched(), 64, int.MaxValue); // a quarter of the depth that firmware-notes/timing.md states
        var stretches = bench.EndAndReadLines();
        Assert.True(stretches.Count > 20, $"{stretches.Count} times on");
        Judge(stretches, attack.Accepted, chip);
    }

    private static void Judge(IReadOnlyList<LineOn> stretches, IReadOnlyList<AcceptedRun> runs, EmulatedChip chip)
    {
        var late = chip.StepSpread * TickNs;
        Assert.All(stretches, stretch => Assert.InRange(stretch.Length(long.MaxValue), 1, (LongestOn * TickNs) + late));
        foreach (var line in stretches.GroupBy(stretch => stretch.Pin))
        {
            foreach (var (before, after) in line.Zip(line.Skip(1)))
                Assert.True(after.From - before.To >= (Rest * TickNs) - late, $"no rest between {before} and {after}");
        }
        foreach (var one in stretches.Where(stretch => (chip.LinePin(stretch.Pin) - chip.FirstPin) % 2 == 0))
            Assert.DoesNotContain(stretches, other => chip.LinePin(other.Pin) == chip.LinePin(one.Pin) + 1 && other.From < one.To && one.From < other.To);

        // What is on belongs to a run that was accepted, and is no more than that run's program says.
        foreach (var run in runs)
        {
            var here = stretches.Where(stretch => stretch.From >= run.From && stretch.From <= run.To).ToArray();
            foreach (var pin in chip.LinePins)
            {
                var planned = run.Program.OnTimes(pin);
                var seen = here.Where(stretch => chip.LinePin(stretch.Pin) == pin).ToArray();
                Assert.True(seen.Length <= planned.Length, $"{chip.LineName(pin)} was on {seen.Length} times where the program says {planned.Length}");
                Assert.All(seen.Zip(planned), pair => Assert.InRange(pair.First.Length(long.MaxValue), 1, (pair.Second * TickNs) + late));
            }
        }
        Assert.All(stretches, stretch => Assert.Single(runs, run => stretch.From >= run.From && stretch.From <= run.To));
    }

    /// <param name="From">The bench's clock before RUN was sent.</param>
    /// <param name="To">The bench's clock after the burst was over.</param>
    private sealed record AcceptedRun(Steps Program, long From, long To);

    /// <summary>The steps of a program, and how long it has each line on.</summary>
    private sealed record Steps(ImmutableArray<ProgramStep> Items)
    {
        /// <summary>Lengths in ticks of all the times that a line is on.</summary>
        public uint[] OnTimes(int pin)
        {
            var lengths = new List<uint>();
            uint? since = null;
            foreach (var step in Items.Where(step => step.Action != StepAction.Measure))
            {
                var on = step.Action == StepAction.Lines && (step.Mask >> pin & 1) == 1;
                if (on)
                {
                    since ??= step.At;
                }
                else if (since is { } from)
                {
                    lengths.Add(step.At - from);
                    since = null;
                }
            }
            return [.. lengths];
        }
    }

    private sealed class Attack(EmulatedBench bench, RawLink link, Random random, EmulatedChip chip)
    {
        private readonly LimitsTable _limits = LimitsOf(chip);
        private readonly List<(byte Type, byte[] Body)> _recorded = [];
        private readonly Dictionary<uint, Steps> _programs = [];
        private uint _nonce;
        private uint _run;

        public List<AcceptedRun> Accepted { get; } = [];

        public HashSet<ReplyResult> Refusals { get; } = [];

        /// <summary>SELECT went through so often.</summary>
        public int Selected { get; private set; }

        /// <summary>SELECT or SELECTS that named a line was refused so often.</summary>
        public int SelectsRefused { get; private set; }

        public void Turn()
        {
            if (_recorded.Count == 0 || random.Next(5) == 0)
                Arm();
            if (random.Next(2) == 0)
                Select();
            switch (random.Next(20))
            {
                case < 8:
                    LoadAndRun();
                    break;
                case < 12:
                    Ask(_recorded[random.Next(_recorded.Count)]);
                    break;
                case < 14 when _recorded.FindLast(sent => sent.Type == (byte)RequestType.Run) is { Body: not null } lastRun:
                    Ask(lastRun);
                    break;
                case < 17:
                    Ask(Mutated(_recorded[random.Next(_recorded.Count)]));
                    break;
                case 17:
                    Noise();
                    break;
                case 18:
                    bench.Tell("press emergency-stop");
                    LoadAndRun();
                    bench.Tell("release emergency-stop");
                    break;
                case 19 when random.Next(2) == 0:
                    // A line that is still driven from the arming before, declared anew as if the level that is on were idle.
                    Ask(LinkRequest.Disarm);
                    Ask(LinkRequest.Line(_limits.Lines[random.Next(chip.Lines)] with { IdleHigh = false }));
                    DeclareSelects(chip.SelectPins | RandomLine());
                    break;
                default:
                    if (random.Next(3) == 0)
                    {
                        bench.Tell("reset");
                        link.Notice(NoticeType.Boot);
                        _run = 0;
                    }
                    break;
            }
        }

        /// <summary>Whatever was declared before: ARM goes through only when the device holds exactly these limits.</summary>
        private void Arm()
        {
            Ask(LinkRequest.ClearLimits);
            foreach (var line in _limits.Lines)
                Ask(LinkRequest.Line(line));
            foreach (var stop in _limits.Stops)
                Ask(LinkRequest.Stop(stop));
            Ask(LinkRequest.Heartbeat(_limits.HeartbeatMilliseconds));
            Ask(LinkRequest.Selects(_limits.Selects));
            var armed = Ask(LinkRequest.Arm(_limits.Digest()));
            Assert.Equal(ReplyResult.Ok, armed.Result);
            _nonce = ArmedReply.Parse(armed.Body.AsSpan()).Value!.Nonce;
        }

        /// <summary>With the nonce of the last arming: select pins alone, or lines among them.</summary>
        private void Select()
        {
            var high = random.Next(2) == 0 ? (uint)random.Next(0x100) : (uint)random.Next(4) << chip.FirstPin + chip.Lines;
            switch (Ask(LinkRequest.Select(_nonce, high)).Result)
            {
                case ReplyResult.Ok:
                    Assert.Equal(0u, high & ~chip.SelectPins);
                    Selected++;
                    break;
                case ReplyResult.BadValue:
                    SelectsRefused++;
                    break;
            }
            if (random.Next(4) == 0)
                DeclareSelects((uint)random.Next(0x100));
        }

        private void DeclareSelects(uint pins)
        {
            if (Ask(LinkRequest.Selects(pins)).Result == ReplyResult.BadValue)
                SelectsRefused++;
        }

        private void LoadAndRun()
        {
            var steps = RandomSteps();
            var digest = ProgramStep.Digest(steps.Items);
            _programs[digest] = steps;
            Ask(LinkRequest.Load(_nonce, 0, steps.Items));
            var run = random.Next(8) == 0 ? (uint)random.Next(1, (int)_run + 2) : _run + 1;
            Ask(LinkRequest.Run(_nonce, run, (byte)steps.Items.Length, digest));
        }

        private uint RandomLine(bool undeclaredToo = false) => 1u << chip.FirstPin + random.Next(chip.Lines + (undeclaredToo ? 1 : 0));

        /// <summary>Near the limits on both sides of each.</summary>
        private Steps RandomSteps()
        {
            var steps = ImmutableArray.CreateBuilder<ProgramStep>();
            var at = (uint)random.Next(1590, 2000);
            for (var count = random.Next(1, 6); count > 0; count--)
            {
                steps.Add(new(at, StepAction.Lines, RandomLine() | (random.Next(3) == 0 ? RandomLine(undeclaredToo: true) : 0), 0));
                at += random.Next(4) == 0 ? (uint)random.Next((int)LongestOn - 1, (int)LongestOn + 2) : (uint)random.Next(310, (int)LongestOn);
                if (random.Next(3) != 0)
                {
                    steps.Add(new(at, StepAction.Lines, 0, 0));
                    at += random.Next(2) == 0 ? (uint)random.Next((int)Rest - 1, (int)Rest + 2) : (uint)random.Next(310, 3 * (int)Rest);
                }
            }
            steps.Add(new(at, StepAction.End, 0, 0));
            return new(steps.ToImmutable());
        }

        private (byte Type, byte[] Body) Mutated((byte Type, byte[] Body) sent)
        {
            var body = (byte[])sent.Body.Clone();
            for (var count = random.Next(1, 4); count > 0 && body.Length > 0; count--)
                body[random.Next(body.Length)] = (byte)random.Next(256);
            if (random.Next(5) == 0)
                body = body[..random.Next(body.Length + 1)];
            return (random.Next(8) == 0 ? (byte)random.Next(0x01, 0x70) : sent.Type, body);
        }

        private void Noise()
        {
            var noise = new byte[random.Next(1, 600)];
            random.NextBytes(noise);
            link.Send([.. noise, FrameFormat.Delimiter]);
            var (type, body) = _recorded[random.Next(_recorded.Count)];
            var damaged = RawLink.Framed(type, 0, body);
            damaged[random.Next(1, damaged.Length - 1)] ^= (byte)(1 << random.Next(8));
            link.Send([.. damaged, FrameFormat.Delimiter]);
        }

        private LinkReply Ask(LinkRequest request) => Ask(((byte)request.Type, [.. request.Body]));

        private LinkReply Ask((byte Type, byte[] Body) request)
        {
            _recorded.Add(request);
            var isRun = request.Type == (byte)RequestType.Run;
            var from = isRun ? bench.Time() : 0;
            var reply = link.Ask(request.Type, request.Body);
            if (reply.Result != ReplyResult.Ok)
            {
                Refusals.Add(reply.Result);
            }
            else if (isRun)
            {
                var run = BinaryPrimitives.ReadUInt32LittleEndian(request.Body.AsSpan(4));
                Assert.True(run > _run, $"run {run} was accepted after run {_run}");
                _run = run;
                // A byte into every third burst ends it; where it comes too late, it is noise.
                if (random.Next(3) == 0)
                    link.Send([FrameFormat.Delimiter]);
                link.Notice(NoticeType.Done);
                Accepted.Add(new(_programs[BinaryPrimitives.ReadUInt32LittleEndian(request.Body.AsSpan(9))], from, bench.Time()));
            }
            return reply;
        }
    }
}
