using System.IO.Ports;
using System.Runtime.InteropServices;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// What can be found out about a port without opening it. The system answers "access denied" for a port that this user may not open and for
/// one that another program holds; only the file's permissions tell the two apart.
/// </summary>
/// <param name="HasContent">It is a file with something in it, so no port: ports have no length. The system answers "access denied" for these too.</param>
/// <param name="MayOpen">This user may read and write it.</param>
/// <param name="Others">The serial ports that exist.</param>
internal sealed record PortFacts(string PortName, bool Exists, bool HasContent, bool MayOpen, IReadOnlyList<string> Others)
{
    private const int ReadAndWrite = 4 | 2;

    public static PortFacts Of(string portName)
    {
        var others = SerialPort.GetPortNames().Distinct().Order(StringComparer.Ordinal).ToArray();
        return OperatingSystem.IsWindows()
            ? new(portName, others.Contains(portName, StringComparer.OrdinalIgnoreCase), false, true, others)
            : new(portName, File.Exists(portName), File.Exists(portName) && new FileInfo(portName).Length > 0, Access(portName, ReadAndWrite) == 0, others);
    }

    /// <summary>Why the port could not be opened, and what to do.</summary>
    /// <param name="cause">What the system said; null when opening was not tried.</param>
    public AdapterException Explain(Exception? cause)
    {
        if (!Exists)
        {
            var present = Others.Count == 0
                ? "This computer shows no serial ports at all: plug the adapter in, and try another cable, since some cables only charge."
                : $"The serial ports of this computer are: {string.Join(", ", Others)}.";
            return new(AdapterFault.Missing, $"There is no port {PortName}. {present}", cause);
        }
        if (!MayOpen)
        {
            return new(
                AdapterFault.NotPermitted,
                $"This user may not open {PortName}. Serial ports usually belong to the group dialout: let an administrator run 'usermod -aG dialout <user>', then log in afresh.",
                cause);
        }
        return !HasContent && (cause is UnauthorizedAccessException || cause is IOException { HResult: Busy })
            ? ExplainBusy(cause)
            : new(
                AdapterFault.NotAnAdapter,
                $"{PortName} cannot be opened as a serial port: {cause?.Message} Check that the name is that of a serial port.",
                cause);
    }

    /// <summary>Another program has it.</summary>
    public AdapterException ExplainBusy(Exception? cause) => new(
        AdapterFault.Busy,
        $"Another program holds {PortName}, or the device behind it is just vanishing. Close what uses it ('fuser {PortName}' names it) and start again.",
        cause);

    /// <summary>EBUSY, which System.IO.Ports hands on as it is.</summary>
    private const int Busy = 16;

    [DllImport("libc", EntryPoint = "access", CharSet = CharSet.Ansi, BestFitMapping = false, ThrowOnUnmappableChar = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Access([MarshalAs(UnmanagedType.LPUTF8Str)] string path, int mode);
}
