package heif
import ("testing";"os";"time";"context";"fmt";"image";"image/png";"bytes")
func TestZZ(t *testing.T){
 d,_:=os.ReadFile(os.Getenv("ZZ"))
 s:=time.Now(); p,err:=Describe(d); e:=p.Exif; p.Exif=nil; fmt.Printf("%+v exif %d err %v %v\n",p,len(e),err,time.Since(s))
 for range 2 { s=time.Now(); ph,err:=Decode(context.Background(),d,p); fmt.Println(err,time.Since(s))
 if err==nil { im:=image.NewNRGBA(image.Rect(0,0,ph.Width,ph.Height)); for i:=range ph.Luma { copy(im.Pix[4*i:],ph.RGB[3*i:3*i+3]); im.Pix[4*i+3]=255 }; if len(ph.Luma)<4e6 {f,_:=os.Create("/tmp/heictry/zz.png"); png.Encode(f,im); f.Close()} } }
 f,_:=os.ReadFile("/proc/self/status"); i:=bytes.Index(f,[]byte("VmHWM")); fmt.Println(string(f[i:i+30]))
}
