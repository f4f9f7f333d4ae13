using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

/// <summary>Bodies are written out by hand from sections 3 to 9 of firmware-notes/link-protocol.md.</summary>
public class MessageTests
{
    private const string Greeting = "54526967" + "0100" + "0203";

    private const string IdentificationRest =
        "78563412" + "24F40000" + "88130000" + "2800" + "0800" + "3000" + "1E00" + "40420F00" + "80000000" + "A0000000" + "0A" + "88130000" + "10270000" + "D0070000"
        + "4000" + "2000" + "4001" + "30" + "06" + "28" + "9001" + "20" + "28" + "A00F0000" + "04" + "41424344";

    [Fact]
    public void An_identification_is_read_field_by_field()
    {
        var parsed = Identification.Parse(Hex(Greeting + IdentificationRest));
        Assert.True(parsed.Succeeded, parsed.Problem);
        Assert.Equal(
            new Identification(
                new(1, 0, 2, 3), 0x12345678, 62_500, 5_000, 40, 8, 48, 30, 1_000_000, 128, 160, 10, 5_000, 10_000, 2_000, 64, 32, 320, 48, 6, 40, 400, 32, 40, 4_000, "ABCD"),
            parsed.Value);
    }

    [Fact]
    public void Fields_that_a_later_minor_version_adds_are_left_alone() =>
        Assert.True(Identification.Parse(Hex(Greeting + IdentificationRest + "0102")).Succeeded);

    [Fact]
    public void The_version_is_read_from_another_major_version_too()
    {
        var parsed = ProtocolVersion.Parse(Hex("54526967" + "0901" + "0000" + "FFFF"));
        Assert.Equal(new ProtocolVersion(9, 1, 0, 0), parsed.Value);
    }

    [Fact]
    public void Another_mark_is_no_adapter() => Assert.NotNull(ProtocolVersion.Parse(Hex("54526968" + "0100" + "0000")).Problem);

    [Fact]
    public void A_page_of_pins_is_read()
    {
        var page = PinsPage.Parse(Hex("30" + "01" + "03" + "03" + "443232" + "06" + "02" + "4130")).Value;
        Assert.NotNull(page);
        Assert.Equal((48, 1), (page.Total, page.First));
        Assert.Equal([new(PinCapabilities.Line | PinCapabilities.Sense, "D22"), new(PinCapabilities.Sense | PinCapabilities.Analog, "A0")], page.Pins.ToArray());
    }

    [Theory]
    [InlineData("3001")]
    [InlineData("")]
    [InlineData("300103")]
    [InlineData("30010304443232")]
    [InlineData("01010303443232")]
    public void A_broken_page_of_pins_is_a_value_and_no_exception(string body)
    {
        var parsed = PinsPage.Parse(Hex(body));
        if (body == "3001")
            Assert.Empty(parsed.Value!.Pins);
        else
            Assert.NotNull(parsed.Problem);
    }

    [Fact]
    public void The_end_of_a_run_is_read()
    {
        var end = BurstEnd.Parse(Hex("07000000" + "01" + "2E" + "00127A00" + "2C01" + "03" + "04" + "FF00AA")).Value;
        Assert.NotNull(end);
        Assert.Equal((7u, BurstOutcome.StopInput, (byte)46, 8_000_000u), (end.Run, end.Outcome, end.Pin, end.End));
        Assert.Equal((300, 3, 4), (end.Changes, end.Levels, end.Gaps));
        Assert.Equal([0xFF, 0x00, 0xAA], end.Snapshot.ToArray());
    }

    [Fact]
    public void A_status_without_a_run_has_no_end()
    {
        var status = DeviceStatus.Parse(Hex("00" + "08" + "01000000" + "02000000" + "03000000" + "00000000")).Value;
        Assert.Equal(new DeviceStatus(false, ResetCauses.Watchdog, 1, 2, 3, 0, null), status);
    }

    [Fact]
    public void A_status_that_names_a_run_but_not_its_end_is_malformed() =>
        Assert.NotNull(DeviceStatus.Parse(Hex("01" + "01" + "01000000" + "02000000" + "03000000" + "05000000")).Problem);

    [Fact]
    public void Change_records_are_read_with_their_snapshots()
    {
        var changes = RecordLists.ParseChanges(Hex("40060000" + "0102" + "80060000" + "0302"), 2).Value;
        Assert.NotNull(changes);
        Assert.Equal([1600u, 1664u], changes.Items.Select(change => change.Stamp));
        Assert.Equal([3, 2], changes.Items[1].Snapshot.ToArray());
    }

    [Fact]
    public void A_level_reading_whose_mean_lies_outside_its_samples_is_malformed()
    {
        Assert.True(RecordLists.ParseLevels(Hex("00" + "02" + "07000000" + "0300" + "0400" + "0000")).Succeeded);
        Assert.NotNull(RecordLists.ParseLevels(Hex("00" + "02" + "09000000" + "0300" + "0400" + "0000")).Problem);
        Assert.NotNull(RecordLists.ParseLevels(Hex("00" + "00" + "00000000" + "0000" + "0000" + "0000")).Problem);
    }

    [Fact]
    public void A_gap_that_ends_before_it_begins_is_malformed()
    {
        Assert.Equal(new GapRecord(16, 32, GapCause.Measuring), RecordLists.ParseGaps(Hex("10000000" + "20000000" + "01")).Value!.Items.Single());
        Assert.NotNull(RecordLists.ParseGaps(Hex("20000000" + "10000000" + "01")).Problem);
        Assert.NotNull(RecordLists.ParseGaps(Hex("10000000" + "20000000" + "04")).Problem);
    }

    [Property(MaxTest = 1000)]
    public Property No_body_makes_a_parser_throw() => Prop.ForAll(SomeBytes.Arbitrary(FrameFormat.LongestBody), body =>
    {
        _ = LinkReply.Parse(body);
        _ = ProtocolVersion.Parse(body);
        _ = Identification.Parse([.. Hex(Greeting), .. body]);
        _ = PinsPage.Parse(body);
        _ = DeviceStatus.Parse(body);
        _ = BurstEnd.Parse(body);
        _ = InputsReading.Parse(body);
        _ = ArmedReply.Parse(body);
        _ = RecordLists.ParseChanges(body, 6);
        _ = RecordLists.ParseLevelRecords(body);
        _ = RecordLists.ParseLevels(body);
        _ = RecordLists.ParseGaps(body);
        _ = RecordLists.ParseLeads(body);
        _ = BootNotice.Parse(body);
        _ = DisarmedNotice.Parse(body);
        _ = BadValue.Parse(body);
        _ = LimitsDiffer.Parse(body);
        _ = ProgramRefused.Parse(body);
        _ = StopActive.Parse(body);
        _ = Resting.Parse(body);
        return true;
    });

    [Fact]
    public void Text_that_is_not_printable_reaches_no_screen() =>
        Assert.Equal("A??", PinsPage.Parse([1, 0, 2, 3, (byte)'A', 0x1B, 0xC3]).Value!.Pins.Single().Name);

    [Fact]
    public void Requests_have_the_bodies_of_the_protocol()
    {
        Assert.Equal((RequestType.Pins, "05"), Sent(LinkRequest.Pins(5)));
        Assert.Equal((RequestType.Levels, "0500008010"), Sent(LinkRequest.Levels(0x80000005, 16)));
        Assert.Equal((RequestType.Leads, "44332211020A0B"), Sent(LinkRequest.Leads(0x11223344, [10, 11])));
        Assert.Equal(
            (RequestType.Line, "01" + "01" + "00127A00" + "00093D00" + "01000000"),
            Sent(LinkRequest.Line(new(1, IdleHigh: true, LongestOn: 8_000_000, Rest: 4_000_000, KeptApart: 1))));
        Assert.Equal((RequestType.Stop, "2E" + "00" + "03000000"), Sent(LinkRequest.Stop(new(46, StopsHigh: false, Lines: 3))));
        Assert.Equal((RequestType.Heartbeat, "E8030000"), Sent(LinkRequest.Heartbeat(1000)));
        Assert.Equal((RequestType.Selects, "C8000000"), Sent(LinkRequest.Selects(0xC8)));
        Assert.Equal((RequestType.Select, "04030201" + "88000000"), Sent(LinkRequest.Select(0x01020304, 0x88)));
        Assert.Equal((RequestType.Fine, "04030201" + "08" + "01"), Sent(LinkRequest.Fine(0x01020304, 8, high: true)));
        Assert.Equal((RequestType.FineRecord, "07000000"), Sent(LinkRequest.FineRecord(7)));
        Assert.Equal((RequestType.Arm, "EFBEADDE"), Sent(LinkRequest.Arm(0xDEADBEEF)));
        Assert.Equal(
            (RequestType.Load, "04030201" + "02" + "01" + "40060000" + "02" + "01000000" + "08"),
            Sent(LinkRequest.Load(0x01020304, 2, [new(1600, StepAction.Measure, 1, 8)])));
        Assert.Equal(
            (RequestType.Run, "04030201" + "09000000" + "05" + "DDCCBBAA"), Sent(LinkRequest.Run(0x01020304, 9, 5, 0xAABBCCDD)));
        Assert.Equal((RequestType.Changes, "09000000" + "1800" + "18"), Sent(LinkRequest.Changes(9, 24, 24)));
        Assert.Equal((RequestType.LevelRecords, "09000000" + "0F" + "0F"), Sent(LinkRequest.LevelRecords(9, 15, 15)));
        Assert.Equal((RequestType.Gaps, "09000000" + "00" + "01"), Sent(LinkRequest.Gaps(9, 0, 1)));
    }

    [Fact]
    public void The_limits_digest_is_the_checksum_of_the_table_in_the_order_of_pins()
    {
        var table = new LimitsTable(
            [new(1, true, 2, 3, 1), new(0, true, 2, 3, 2)],
            [new(47, false, 3), new(46, true, 1)],
            1000);
        var written = "00" + "01" + "02000000" + "03000000" + "02000000"
            + "01" + "01" + "02000000" + "03000000" + "01000000"
            + "2E" + "01" + "01000000" + "2F" + "00" + "03000000" + "E8030000";
        Assert.Equal(LinkChecksum.Of(Hex(written)), table.Digest());
        // Select pins come last, and only when there are some.
        Assert.Equal(LinkChecksum.Of(Hex(written + "C8000000")), (table with { Selects = 0xC8 }).Digest());
    }

    [Fact]
    public void The_program_digest_is_the_checksum_of_its_steps()
    {
        var written = "40060000" + "01" + "01000000" + "00" + "00127A00" + "00" + "00000000" + "00";
        Assert.Equal(
            LinkChecksum.Of(Hex(written)),
            ProgramStep.Digest([new(1600, StepAction.Lines, 1, 0), new(8_000_000, StepAction.End, 0, 0)]));
    }

    [Fact]
    public void The_longest_requests_and_replies_fit_into_a_frame()
    {
        var steps = Enumerable.Repeat(new ProgramStep(1, StepAction.Lines, 1, 0), LinkRequest.StepsPerLoad);
        Assert.InRange(LinkRequest.Load(1, 0, [.. steps]).Body.Length, 200, FrameFormat.LongestBody);
        Assert.Equal(24, RecordLists.ChangesPerReply(6));
        Assert.InRange(1 + (RecordLists.LevelsPerReply * 16), 200, FrameFormat.LongestBody);
        Assert.InRange(1 + (RecordLists.GapsPerReply * 9), 200, FrameFormat.LongestBody);
    }

    private static (RequestType, string) Sent(LinkRequest request) => (request.Type, Convert.ToHexString(request.Body.AsSpan()));

    private static byte[] Hex(string text) => Convert.FromHexString(text);
}
